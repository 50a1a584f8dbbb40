// Package metrics is the swing science of ashline, in pure Go: what flows in is
// a track (positions of marks and ball in pixels, with covariance, at
// presentation times in seconds) and a card (what the coach knows); what flows
// out is a Result, the content of metrics.json.
//
// Frames. "image": pixels, origin at the centre of the top-left pixel of the
// upright picture, x right, y down. "plane": the vertical plane of the pitch,
// x metres towards the pitcher, z metres up, origin and t = 0 at contact.
// "lifted": plane with depth, y metres across the plate, towards the camera.
//
// Units are SI, angles in degrees in every exported field and in JSON.
//
// Symbols. φ is the angle between bat and line of sight, r and w radius and width of
// the barrel's band, n the normal of a part of it, l the lamp. A band sends the light
// ambient + max(0, n·l) from each part; its middle, in even light, lies π/4·r off the
// bat's axis (sight.go). The bat is one body: the middle of the hands and a unit
// vector from it, both cubic splines in time, fitted to place, light, shape and skew
// of the barrel's band, place of the hands' band, and the ball's depth at contact
// (bat*.go, lamp.go). Place and velocity about contact come from a smoother of the
// barrel's axis so found (package fit), the rest of the swing from the bat itself.
//
// Formulas. attack = atan2(v_z, v_x) of the barrel just before contact; descent =
// atan2(−u_z, −u_x) of the pitch there; gap = attack − descent; zone and timing
// window as package zone defines them; scale from points, plate, the ball's breadth
// and the bat's marks, each weighted by 1/variance of its logarithm. An interval is
// the 2.5 and 97.5 % quantiles of 200 evaluations, each with the track and the card's
// values drawn from what they may err (nuisance), moved so that its middle is the
// value.
//
// It imports no OpenCV, touches no file, network, clock or log, and never
// changes its inputs. Sources of the methods stand beside them.
package metrics
