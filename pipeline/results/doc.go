// Package results reads results back and prints what was found in them. A
// metrics.json, or a folder that holds one, flows in; a checked metrics.Result
// flows out, and a comparison of two groups as a table for people.
//
// Units and frames are those of metrics.json. Every file is taken for a
// stranger's: it is bounded in size, of a version this program knows, and its
// text cannot hold control characters. An error is one line that names the file
// and says what to do. The package measures nothing and compares nothing.
package results
