// Package fake holds a queue, a store and an analyst in memory, for tests of
// what uses them. They obey the same rules as the real ones, as package
// conform checks, and fail on demand. Nothing flows to a network or outlives
// the process; the analyst writes the files of a small invented result.
package fake
