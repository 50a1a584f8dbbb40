// Package progress carries how far the work on a clip has come to whoever watches it.
//
// A Report is called with a stage's name and what is done of how much. Steps counts
// one stage and calls only for what goes further, so that work that turns in a circle
// is silent and whoever watches may end it. The package keeps no clock.
package progress
