// Package guide writes metrics/README.md, which explains every metric of
// metrics.json in plain words, and its drawings. What flows in: the rows of the
// catalogue and an example swing in closed form; what flows out: Markdown and SVG, the
// same bytes each time.
//
// The example swing lies in the plane of the pitch (x metres towards the
// pitcher, z metres up, seconds, 0 at contact): the barrel runs along an ellipse,
// the ball straight. Zone and timing in the drawings are found by package zone, as
// those of a measured swing are, so that what is drawn is what is defined.
//
// It writes no file; its test does: go test ./pipeline/guide -update.
package guide
