// Command ashline measures swings: clips and cards go in, metric JSON and
// overlay videos come out, one clip at a time (measure) or in bulk through a
// queue and an object store (submit, work).
//
// It holds one file a verb and no logic: flags are read, a package is called,
// its outcome is printed and mapped to an exit code.
package main
