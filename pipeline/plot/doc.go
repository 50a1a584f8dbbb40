// Package plot draws what was measured of one swing, or of two on the same axes, as
// SVG: the barrel's path against the pitch line with the band of the zone (path.svg),
// its distance from the line and its direction off it over time (zone.svg), and how
// early or late the same swing could have been (timing.svg).
//
// In flow metrics.PlanePath (m from the barrel at contact, s from contact) and the
// metrics of the swing, which stand beside the curves with their 95 % intervals; out
// flow files, the same bytes each time. Plots show ms, cm, m and degrees.
//
// The second of two swings is drawn as one alone would be, the first in grey and
// dashed, so that they are told apart without colour. What is missing is not drawn:
// the plot says what and why. It computes no metric.
package plot
