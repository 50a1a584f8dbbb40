// Package band tells a coloured band from all else in a clip, pixel by pixel. The planes of
// each frame flow in twice; patches with their evidence flow out.
//
//	all frames ─▶ Survey ─▶ Scene (background, colours) ─▶ Finder ◀─ each frame again
//
// Places are pixels of the upright picture at luma resolution, origin at the centre of the
// top-left pixel. Evidence is in nats: for each chroma pixel the log of how likely a band of
// the mark's colour looks so, in some light, at its rim or in a streak (density.go), against
// the clip's own still background there, under a camera that moves and changes its
// exposure, and the colours of what moves in it (scene.go). Brightness counts as hue and
// saturation do, so that a lime band is told from a hedge, which hue alone is not.
//
// No clip is measured with it yet: package mark finds the bands by hue. It never decides
// which patch is the mark.
package band
