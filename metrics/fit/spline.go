package fit

import "sort"

// splineOrder is that of a cubic.
const splineOrder = 4

// Knots are the knots of a cubic B-spline. Where a knot stands three times the
// spline's slope may jump.
type Knots struct{ t []float64 }

// NewKnots spaces knots evenly over [from, to], at most step apart, and lets the
// slope jump at kink when that lies inside.
func NewKnots(from, to, step, kink float64) Knots {
	var inner []float64
	run := func(a, b float64) {
		n := max(1, int((b-a)/step+0.999))
		for i := 1; i < n; i++ {
			inner = append(inner, a+(b-a)*float64(i)/float64(n))
		}
	}
	if kink > from+step/4 && kink < to-step/4 {
		run(from, kink)
		inner = append(inner, kink, kink, kink)
		run(kink, to)
	} else {
		run(from, to)
	}
	t := []float64{from, from, from, from}
	t = append(append(t, inner...), to, to, to, to)
	return Knots{t}
}

// Count is the number of basis functions.
func (k Knots) Count() int { return len(k.t) - splineOrder }

// Span is the range of the spline.
func (k Knots) Span() (from, to float64) { return k.t[0], k.t[len(k.t)-1] }

// Breaks are the distinct knots.
func (k Knots) Breaks() []float64 {
	var out []float64
	for _, x := range k.t {
		if len(out) == 0 || x > out[len(out)-1] {
			out = append(out, x)
		}
	}
	return out
}

// Basis holds the four basis functions that are not zero at one time: the index
// of the first, and each one's value and first three derivatives.
type Basis struct {
	First int
	D     [4][splineOrder]float64 // [derivative][function]
}

// At evaluates the basis at t, at a knot the side that is asked for. Beyond the
// ends the outermost cubics go on.
func (k Knots) At(t float64, side Side) Basis {
	n := k.Count()
	// The last knot that is not after t (before it, for the side before).
	i := sort.Search(len(k.t), func(i int) bool {
		if side == Before {
			return k.t[i] >= t
		}
		return k.t[i] > t
	}) - 1
	i = min(max(i, splineOrder-1), n-1)
	for k.t[i+1] == k.t[i] { // only at the first knot
		i++
	}
	// Triangular table of basis functions of rising degree (de Boor's recurrence);
	// the derivatives of a spline are differences of splines of lower degree.
	var low [splineOrder][splineOrder]float64 // [degree][function]
	low[0][0] = 1
	for d := 1; d < splineOrder; d++ {
		for j := range d + 1 {
			f := i - d + j
			v := 0.0
			if j > 0 {
				if w := k.t[f+d] - k.t[f]; w > 0 {
					v += (t - k.t[f]) / w * low[d-1][j-1]
				}
			}
			if j < d {
				if w := k.t[f+d+1] - k.t[f+1]; w > 0 {
					v += (k.t[f+d+1] - t) / w * low[d-1][j]
				}
			}
			low[d][j] = v
		}
	}
	b := Basis{First: i - splineOrder + 1}
	b.D[0] = low[splineOrder-1]
	for order := 1; order < splineOrder; order++ {
		// Raise the basis of degree 3−order by taking differences order times.
		row := low[splineOrder-1-order]
		for d := splineOrder - order; d < splineOrder; d++ {
			var up [splineOrder]float64
			for j := range d + 1 {
				f := i - d + j
				if j > 0 {
					if w := k.t[f+d] - k.t[f]; w > 0 {
						up[j] += float64(d) / w * row[j-1]
					}
				}
				if j < d {
					if w := k.t[f+d+1] - k.t[f+1]; w > 0 {
						up[j] -= float64(d) / w * row[j]
					}
				}
			}
			row = up
		}
		b.D[order] = row
	}
	return b
}
