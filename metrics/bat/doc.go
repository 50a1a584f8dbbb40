// Package bat finds the motion of a bat in space from what one camera sees of two bands
// on it. What flows in is Seen: sightings of the barrel's band, in px with covariances
// and the moments of its light, and of the hands' band, the bat's sizes, m, and the time
// and depth of contact. What flows out is a Bat, which can be asked for its pose at any
// time and drawn at random from those that the sightings allow.
//
// The bat is one body: the middle of the hands and a unit vector from it, both cubic
// splines in time (bat.go). Each thing that it must agree with is a term, with its
// residual, gradient and s.d. (terms.go: laws of swings; seen.go: sightings); Levenberg's
// and Marquardt's descent with robust weights (package fit) lessens their sum from first
// guesses (start.go, fit.go, fitting.go). What the camera sees of a band in a given pose
// is optics.go, and the light that it is seen in lamp.go.
//
// Symbols. φ is the angle between bat and line of sight, r and w radius and width of
// the barrel's band, n the normal of a part of it, l the lamp. A band sends the light
// ambient + max(0, n·l) from each part; its middle, in even light, lies π/4·r off the
// bat's axis.
//
// World axes and picture are those of package geom. All tuned numbers stand in
// constants.go. A Bat never changes once it is fitted.
package bat
