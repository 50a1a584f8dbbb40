// Package steady measures how the camera moves. Luma planes flow in; for each
// frame an affine transform flows out that takes a point of that frame to
// where it would be in the first frame (px, origin at the centre of the top-left
// pixel of the upright picture).
//
// Corners of the background are followed from the first frame straight to each
// frame by pyramidal Lucas–Kanade flow (Bouguet's scheme, in OpenCV), forward
// and back; corners that do not come back to where they started are dropped, and
// a RANSAC affine map is fitted to the rest, so that the hitter, who moves, has
// no vote. A camera that stands still is recognised and then checked only now
// and then.
package steady
