// Package track chooses, among the candidates of all frames together, the path
// that one mark took, and follows the ball. It is pure Go: candidates with
// times flow in (px of the steadied, upright picture; seconds), chosen samples
// flow out.
//
// Link maximises one score over the whole clip by dynamic programming over
// pairs of candidates (a second-order Viterbi search): what a candidate is worth
// on its own, less the acceleration that the path would need against what a
// swing can do, less a price for each frame without a candidate. Frame-by-frame
// choice has no way back from one wrong step; this has.
//
// Grow carries a path outwards from the part of it that is beyond doubt, and ends
// it where the evidence ends. Objects follows everything else that has the mark's
// hue, so that what was seen in one place while the mark was in another is never
// taken for it.
//
// Flights grows ball tracks from pairs of moving blobs and keeps those that obey
// one smooth flight; colour plays no part.
//
// It never looks at pixels and never fills a gap: frames without a candidate
// stay without a sample.
package track
