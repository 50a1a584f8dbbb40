// Command ashline-lab is ashline's laboratory: it renders invented swings whose
// truth is known (scene, academy), measures them and prints the errors (bench),
// spoils clips (hostile) and kills workers and servers (storm).
//
// It holds one file a verb and no logic. Nothing of it is needed to measure a
// swing, and the shipped program links none of it: "ashline try" starts this
// program to have its clips rendered.
package main
