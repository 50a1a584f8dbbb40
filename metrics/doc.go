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
// It imports no OpenCV, touches no file, network, clock or log, and never
// changes its inputs. Sources of the methods stand beside them.
package metrics
