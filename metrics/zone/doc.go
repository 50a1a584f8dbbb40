// Package zone says how long a barrel stays on the line of the pitch, and how
// early or late the same swing could have met the ball. What flows in: paths of
// barrel and ball in the plane of the pitch (x metres towards the pitcher, z
// metres up, t = 0 at contact, seconds) and the pitch line; what flows out:
// spans of time in seconds and lengths in metres.
//
// Symbols: δ is the descent of the pitch, u = (cos δ, sin δ) the direction
// against the pitch, which a matched barrel has; s = (p − line)·u the place
// along the line, e its distance from the line.
//
//   - near: |e| ≤ distance; along: the angle between barrel velocity and u is
//     ≤ direction; the zone is where both hold.
//   - timing: the barrel's motion is delayed by d (negative: earlier) against the
//     ball's. At the first touch of the two circles, with c from barrel to ball
//     and w the ball's velocity less the barrel's, the impact offset is
//     |c × w|/|w|, the distance of the barrel's centre from the line of relative
//     motion through the ball's.
//
// The barrel's path is used as it was measured, after contact as well as
// before, and the ball's as if it had not been hit. Nothing is smoothed here.
package zone
