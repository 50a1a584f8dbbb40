// Package compare shows two measured clips in step, and says what differs.
//
// Two clips' footage and studies go in; compare.mp4, which shows them side by side,
// compare.html and compare.json come out. Align puts them in step: the first clip sets
// the pace, and the second one's time is stretched between instants that both share.
// Whether a difference is real is for ashline/metrics/change to tell.
package compare
