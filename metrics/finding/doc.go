// Package finding turns metrics into plain sentences for coach and hitter. What flows
// in: a rule set with its words, and a metrics.Result or a change.Outcome; what flows
// out: sentences, each with the metrics that it rests on.
//
// A rule names metrics by their place in metrics.json (SI, degrees, frames and signs as
// there) and bounds for them. It fires when every metric that it names is measured and
// its whole 95 % interval lies beyond the bound, so that noise of measuring seldom speaks:
// a missing or assumed metric, or one without an interval, never does.
//
// Sentences show coach's units: ms, cm, degrees, percent, m/s, rounded to whole ones.
//
// It holds no rule, no bound and no word of its own, decides nothing about health, and
// judges swings, never people.
package finding
