// Package fit turns noisy samples of a moving mark into positions, velocities
// and their uncertainty. What flows in: times in seconds and positions in any
// one unit of length, each with its variance; what flows out: curves that can
// be asked at any time for value, derivative and covariance, or drawn from.
//
// Symbols: m is the order of the motion model, d a step of time, q the
// intensity of the white noise that drives the m-th derivative
// (length² / s^(2m−1)), R the covariance of one sample.
//
//   - Polynomial: weighted least squares by QR on a centred, scaled abscissa.
//   - Smoother: the (m−1)-fold integrated Wiener process, whose mean is the
//     smoothing spline of degree 2m−1 (Wahba, J. R. Stat. Soc. B 40 (1978) 364).
//     It is solved in square-root information form (Bierman, Factorization
//     Methods for Discrete Sequential Estimation, 1977, ch. V and X), which
//     needs no prior on the start and loses no digits over short steps.
//
// The order is a choice by evidence. TestDirectionBeforeContact swings a driven
// double pendulum into an impact between frames and asks for the direction just
// before it, three swings, 20 times each with 2 mm of noise. Root mean square errors, degrees:
//
//	                                    240 fps  120 fps
//	centred quadratic over 5 frames        3.8      6.5
//	Butterworth 20 Hz, forth and back      4.1      6.4
//	best polynomial up to contact          0.8      0.9
//	integrated Wiener process, order 2     3.7      5.1
//	order 3, intensity by likelihood       1.1      1.3
//	order 4, intensity by likelihood       0.8      0.9
//
// Filters that look across an impact bend the path before it. A polynomial is as
// good as order 4 only at the length that suits the swing and the rate, which nobody
// knows beforehand; order 4 finds its own stiffness from the samples' likelihood, and
// its 95 % intervals hold the truth in 95 to 98 %.
//
// It never reads a clock or a global random source and never changes its
// inputs. It has no opinion on what the mark is.
package fit
