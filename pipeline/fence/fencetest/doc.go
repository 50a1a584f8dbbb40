// Package fencetest stages, for tests alone, a decoder that a clip has taken over: a
// program that tries to reach what the test has put up around it, and a kernel that
// knows less of Landlock than this one.
//
// In go a test and the version of Landlock, out comes a clip that tells the program
// what there is to attack. Everything attacked is the test's own.
package fencetest
