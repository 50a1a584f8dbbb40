// Package change says whether two groups of swings differ by more than their
// own uncertainty. What flows in: readings of one metric, each with its 95 %
// interval, in any one unit; what flows out: the difference of the means, after
// less before, with its 95 % interval, and the least difference that could have
// been told from none. Groups does this for every metric of two groups of results.
//
// Symbols: n readings a side, s their standard deviation, u the standard
// deviation of one reading (a quarter of its interval, to 2 %). The variance of
// a side's mean is the greater of s²/n and Σu²/n²: the spread of several swings
// already holds the noise of measuring them, but by chance may fall short of
// it. Degrees of freedom are Welch's (B. L. Welch, Biometrika 34 (1947) 28), or
// n₁+n₂−2 when pooled. The least detectable difference is that of J. P. Weir, J.
// Strength Cond. Res. 19 (2005) 231, extended to means: 1.96·√(s²/n₁ + s²/n₂).
//
// It never compares readings of unlike kind unless told to, nor of unlike unit,
// and never calls a change good or bad. It takes the errors of readings as
// independent: one that all clips of a side share, of a camera set up askew say,
// it does not see.
package change
