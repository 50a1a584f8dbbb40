// Package follow turns a clip's pixels into paths: one a mark, one flight a ball, and
// the joints that a pose network finds.
//
//	clip ─▶ Watch ─▶ Link ─▶ Swings ─▶ Flights ─▶ Bridge ─▶ Joints ─▶ Found
//	        pixels   paths   spans     balls      gaps      network
//
// Each stage takes what the ones before it returned and changes none of it; Follow runs
// all but the first. Watch decodes the clip twice: for its background, light and the
// camera's motion, then for patches of the marks and moving blobs. Link chooses one path
// a mark among its patches, all frames together; Follow then holds the card's sides
// against the way the barrel goes. Bridge and Joints read parts of
// the clip a second time.
//
// Places are px of the upright picture, origin at the centre of the top-left pixel;
// paths are steadied to the first frame. Times are seconds of capture from the first
// frame, at mid-exposure.
package follow
