// Package follow turns a clip's pixels into paths: one a mark, one flight a ball, and
// the joints that a pose network finds.
//
//	clip ─▶ Watch ─▶ Link ─▶ Swings ─▶ Flights ─▶ Bridge ─▶ Joints ─▶ Found
//	        pixels   paths   spans     balls      gaps      network
//
// Each stage takes what the ones before it returned and changes none of it; Follow runs
// all but the first. Watch decodes the clip once and keeps what a frame shows: pixels
// of the marks' hues, moving blobs, the camera's motion. Link chooses one path a mark
// among the patches of its hue, all frames together. Bridge and Joints read parts of
// the clip a second time.
//
// Places are px of the upright picture, origin at the centre of the top-left pixel;
// paths are steadied to the first frame. Times are seconds of capture from the first
// frame, at mid-exposure.
package follow
