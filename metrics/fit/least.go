package fit

import "math"

// Least is where f is least between from and to: the best of looks even steps, and a
// third of what is left cut off as many times as narrows says.
func Least(f func(float64) float64, from, to float64, looks, narrows int) float64 {
	step := (to - from) / float64(looks)
	best, least := from, math.Inf(1)
	for i := range looks + 1 {
		x := from + step*float64(i)
		if c := f(x); c < least {
			best, least = x, c
		}
	}
	lo, hi := math.Max(from, best-step), math.Min(to, best+step)
	for range narrows {
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if f(m1) < f(m2) {
			hi = m2
		} else {
			lo = m1
		}
	}
	return (lo + hi) / 2
}
