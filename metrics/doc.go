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
// Stages. paths: the marks smoothed in the picture; contact: when barrel and ball met
// (contact.go); bat: the bat as one body in space (package bat); motion: place and
// velocity about contact, from a smoother of the barrel's axis so found (package fit);
// figures: what is computed of it. Each is a function of the values of those before.
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
