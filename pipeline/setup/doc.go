// Package setup holds the card against the picture. What was stated and what was seen
// flow in; the card that holds flows out, with a note for each value that the picture
// gave, or an error that names the field and both values where the two contradict.
//
// The picture is the first witness: a statement that it contradicts never becomes a number.
package setup
