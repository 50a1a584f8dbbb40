// Package fault says who is to blame for a failure. It holds the classes of failures,
// and names what may be wrong with a clip, a card or the program where several rooms of
// the pipeline say the same; an error that one room alone finds stands in that room, as
// a sentinel with a class. Errors flow in, classes flow out; what becomes of a class, a
// message's fate or an exit code, is not decided here.
package fault
