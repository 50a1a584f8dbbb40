// Package route chooses the path of a mark among what may be the mark, all frames of a clip
// together. Candidates with their evidence (nats; places in px of the steadied picture) and
// times (s) flow in; for each frame the chosen one, or none, and the score of the whole flow
// out. It is pure Go.
//
// Link maximises one score by dynamic programming over pairs of candidates (a second-order
// Viterbi search): what each candidate's look says, less χ² of the acceleration that the path
// needs against a law of motion, less prices for going out of sight. A path may end and begin
// again. Fast steps that lead far count in full: there no other thing goes, while a thing
// that stands about looks the same in every frame.
//
// Path is Link for a mark that is the only one of its kind: what is seen in one place while
// the mark swings in another is something else, and is left out.
//
// No clip is measured with it yet: package track chooses the paths. On a rendered swing whose
// band was hidden for five frames it began the next stretch on another thing, a quarter of a
// metre off, for a frame: the first step of a stretch is not held against the law of motion.
package route
