package contact

import "math"

// within is the chance that an error of the s.d. is under sureS.
func within(sd float64) float64 { return math.Erf(sureS / (math.Sqrt2 * sd)) }

// normal is the chance that a standard normal deviate is less than x.
func normal(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
