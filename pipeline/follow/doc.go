// Package follow turns a clip's pixels into paths: one a mark, one flight a ball, and
// the joints that a pose network finds.
//
//	clip ─▶ Watch ─▶ Gather ─▶ Bridge ─▶ Poses
//	        (pixels)  (paths)   (gaps)    (joints)
//
// Watch decodes the clip once and keeps what a frame shows: pixels of the marks'
// hues, moving blobs, the camera's motion. Gather chooses from that one path a mark
// and one flight a ball. Bridge and Poses read parts of the clip a second time.
//
// Places are px of the upright picture, origin at the centre of the top-left pixel;
// paths are steadied to the first frame. Times are seconds of capture from the first
// frame, at mid-exposure.
package follow
