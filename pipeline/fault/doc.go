// Package fault names what may be wrong with a clip, a card or the program, where
// several rooms of the pipeline say the same. An error that one room alone finds
// stands in that room.
package fault
