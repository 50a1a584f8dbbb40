// Package mark finds coloured bands in frames. The planes of each frame flow in;
// candidates flow out: connected patches of a mark's hue, each with its centroid
// and second moments.
//
// Places are pixels of the upright picture at luma resolution, origin at the
// centre of the top-left pixel. A pixel's weight is its coverage, the share of
// its area and of the exposure that shows the band (matte.go), whatever the light
// on it. So a round bat lit from above has its centroid in its middle, and a
// streak at the band's mean position over the exposure: mid-exposure. Size and
// shape are those of the light that the band sends, which is measured more surely
// than what it covers; how much of it each side sends is for the reader to explain,
// who knows how the bat lies.
//
// Hue is the direction of (Cb, Cr) from neutral and saturation its length;
// shading and blur change the length far more than the direction, which is why
// the test is on direction.
//
// The work is in two steps. Scan keeps, for each frame, only the pixels of the
// hue; Candidates, after the last frame, knows which of them are on in nearly
// every frame (a jacket on a hook) and offers each patch with and without them.
// It never decides which candidate is the mark.
package mark
