// Package track chooses, among the candidates of all frames together, the path
// that one mark took, and follows the ball. It is pure Go: candidates with
// times flow in (px of the steadied, upright picture; seconds), chosen samples
// flow out.
//
// Link maximises one score over the whole clip, in nats, by dynamic programming over
// pairs of candidates (a second-order Viterbi search): what each candidate's look says,
// less χ² of the acceleration that the path needs against a law of motion, less prices for
// going out of sight. A path may end and begin again. Fast steps that lead far count in
// full: there no other thing goes, while a thing that stands about looks the same in every
// frame. Frame-by-frame choice has no way back from one wrong step; this has.
//
// Path is Link for a mark that is the only one of its kind: what is seen in one place
// while the mark swings in another is something else, and is left out. Objects follows
// such things.
//
// Flights grows ball tracks from pairs of moving blobs and keeps those that obey
// one smooth flight; colour plays no part.
//
// It never looks at pixels and never fills a gap: frames without a candidate
// stay without a sample.
package track
