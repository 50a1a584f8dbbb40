// Package catalogue lists the metrics of a swing: one row a metric, with its place in
// metrics.json, its unit, the bounds of what it can be, what it needs, and its words.
// The key positions of a swing have rows of their own.
//
// Everything that speaks of metrics by name reads these rows: metrics.json and its
// schema, the reasons for what is missing or assumed, the console, the pages, the
// comparisons, the rules of the findings and the benches. A new metric is a row here
// and its computing in package metrics.
//
// Paths count from a swing (plane.attack_deg). Units are SI, angles degrees, as
// metrics.json writes them: s, m, m/s, deg, and 1 for a ratio. Times count from
// contact, negative before it.
//
// It computes nothing and knows no swing.
package catalogue
