// Package outfile writes results by name: a path and bytes flow in, a file flows out.
// It never follows a symbolic link, neither in the place of the file nor of the folder
// that it stands in: who can put a link into a folder of results must not choose what
// the program writes over. The folders above are the caller's own choice.
package outfile
