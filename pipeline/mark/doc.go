// Package mark finds coloured bands in frames. The planes of each frame flow in;
// candidates flow out: connected patches that are more likely a mark than anything else,
// each with its evidence, centroid and second moments.
//
//	all frames ─▶ Survey ─▶ Scene (background, colours) ─▶ Finder ◀─ each frame again
//
// Places are pixels of the upright picture at luma resolution, origin at the
// centre of the top-left pixel. Evidence is in nats: for each chroma pixel the log of how
// likely a band of the mark's colour looks so, in some light, at its rim or in a streak
// (density.go), against the clip's own still background there and the colours of what
// moves in it (scene.go). Brightness counts as hue and saturation do, so that a lime band
// is told from a hedge.
//
// A pixel's weight in a centroid is its coverage, the share of its area and of the
// exposure that shows the band (matte.go), whatever the light on it. So a round bat lit
// from above has its centroid in its middle, and a streak at the band's mean position over
// the exposure: mid-exposure. Size and shape are those of the light that the band sends,
// which is measured more surely than what it covers; how much of it each side sends is for
// the reader to explain, who knows how the bat lies.
//
// It never decides which candidate is the mark.
package mark
