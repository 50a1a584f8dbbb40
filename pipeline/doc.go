// Package pipeline takes one clip in and gives one result bundle out.
//
//	clip ─▶ follow ─▶ metrics.Measure ─▶ write ─▶ bundle
//	        (paths)   (swing science)    (metrics.json, track.csv, overlay.mp4, report.html)
//
// Package follow turns pixels into paths, package metrics paths into numbers; a
// second, partial decode draws the overlay of the swing, and package report writes
// the page that shows it.
//
// Places are px of the upright picture, origin at the centre of the top-left
// pixel; paths are steadied to the first frame. Times are seconds of capture
// from the first frame, at mid-exposure.
//
// It knows neither queue nor object store, and runs one native thread.
package pipeline
