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
// It never reads a clock or a global random source and never changes its
// inputs. It has no opinion on what the mark is.
package fit
