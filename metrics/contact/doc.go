// Package contact finds when barrel and ball meet. What flows in are sightings of the
// ball and the barrel's path, both in the plane of the pitch: x to the pitcher and z up,
// m, on one clock, s. What flows out is a Contact: the time with its s.d., what it comes
// from, and the pitch's flight as if it were never hit.
//
// A pitch turns where it is hit: the instant is the one at which the flight before it
// (package flight) and a flight in space after it (bounce.go) have one place. It must
// also touch there: the distance of centres is that of the radii (touch). A ball off a
// tee has no pitch; its flight begins at the barrel (hitline.go).
//
// It never says more than it saw: where nothing of the ball tells, the barrel's peak
// speed stands in, and the contact is Assumed.
package contact
