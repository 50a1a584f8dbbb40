// Package ball finds moving blobs that may be the ball. Luma planes flow in, in
// order; for each frame a list of blobs flows out, a few frames later, because a
// blob is what differs from the picture both shortly before and shortly after.
// That is what a small fast thing does and a wall, a line or white trousers do
// not.
//
// Places are px of the upright picture as filmed, origin at the centre of the
// top-left pixel. The centre is weighted by the difference from the background,
// so a streak's centre is the ball's place at mid-exposure.
//
// It does not decide which blob is the ball: package track does, by flight.
package ball
