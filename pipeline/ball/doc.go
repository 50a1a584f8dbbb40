// Package ball finds moving blobs that may be the ball. Luma planes flow in, in
// order; for each frame a list of blobs flows out, a few frames later, because a
// blob is what differs from the picture both shortly before and shortly after.
// That is what a small fast thing does and a wall, a line or white trousers do
// not.
//
// Places are px of the upright picture as filmed, origin at the centre of the
// top-left pixel. A blob's centre is weighted by the difference from the
// background, so that of a streak is about the ball's place at mid-exposure.
//
// Disc measures a blob of a flight more closely: a disc of known size, lit from
// one side, drawn out along its motion, fitted to the light in the frame. A streak
// cut by the picture's edge fits as well; one that is bent by the bat, or runs into
// a bat or a sleeve, does not, and is told by that.
//
// It does not decide which blob is the ball: package track does, by flight.
package ball
