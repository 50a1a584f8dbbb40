// Package demo is the whole path on one machine: an invented academy's clips
// are rendered, submitted to a queue and a store inside this process, measured
// by workers, and the results fetched as an app would fetch them. A seed flows
// in; a folder of clips and result bundles and a summary flow out. Angles are
// degrees, times seconds, speeds m/s.
//
// Nothing is measured here and nothing is invented after the rendering: what
// the summary says, the workers said. Queue and store vanish at the end.
package demo
