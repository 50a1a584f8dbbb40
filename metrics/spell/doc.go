// Package spell finds the known name that somebody who mistyped one meant. What
// flows in are a word and the names that are known; what flows out is one of them.
package spell
