package fit

import "sort"

// Path is one definite motion: the polynomials of degree 2m−1 that join its
// nodes, which is the mean of the model between two known states.
type Path struct {
	prob *problem
	flat []float64 // node states on the scaled clock
	seg  []float64 // 2m Taylor coefficients an axis, for the piece after each node
}

// hermite holds, for each order, the inverse of the matrix that takes the upper
// m Taylor coefficients of a unit step to the mismatch in its end state.
var hermite = func() (out [MaxOrder + 1][]float64) {
	for m := 1; m <= MaxOrder; m++ {
		a := make([]float64, m*2*m)
		for i := range m {
			for j := range m {
				// i-th derivative at 1 of u^(m+j)/(m+j)!.
				a[i*2*m+j] = 1 / factorial[m+j-i]
			}
			a[i*2*m+m+i] = 1
		}
		out[m] = gaussJordan(a, m)
	}
	return out
}()

// gaussJordan inverts the left half of an m×2m array whose right half is the
// unit matrix. It is used only on the small constant matrices above.
func gaussJordan(a []float64, m int) []float64 {
	w := 2 * m
	for c := range m {
		best := c
		for r := c; r < m; r++ {
			if a[r*w+c]*a[r*w+c] > a[best*w+c]*a[best*w+c] {
				best = r
			}
		}
		for j := range w {
			a[c*w+j], a[best*w+j] = a[best*w+j], a[c*w+j]
		}
		d := a[c*w+c]
		for j := range w {
			a[c*w+j] /= d
		}
		for r := range m {
			if f := a[r*w+c]; r != c && f != 0 {
				for j := range w {
					a[r*w+j] -= f * a[c*w+j]
				}
			}
		}
	}
	out := make([]float64, m*m)
	for i := range m {
		copy(out[i*m:], a[i*w+m:(i+1)*w])
	}
	return out
}

func newPath(p *problem, flat []float64) *Path {
	m, n := p.m, p.n
	out := &Path{prob: p, flat: flat, seg: make([]float64, len(p.nodes)*p.axes*2*m)}
	var miss [MaxOrder]float64
	for k := range p.nodes {
		d := 0.0
		if k+1 < len(p.nodes) {
			d = p.nodes[k+1].t - p.nodes[k].t
		}
		for a := range p.axes {
			c := out.seg[(k*p.axes+a)*2*m : (k*p.axes+a+1)*2*m]
			x := flat[k*n+a*m : k*n+a*m+m]
			for i := range m {
				c[i] = x[i] / factorial[i]
			}
			if d <= 0 {
				continue
			}
			next := flat[(k+1)*n+a*m : (k+1)*n+a*m+m]
			scale := 1.0
			for i := range m {
				want, pow := next[i], 1.0
				for j := i; j < m; j++ {
					want -= x[j] * pow / factorial[j-i]
					pow *= d
				}
				miss[i] = want * scale
				scale *= d
			}
			// scale is d^m now: undo the unit step in each coefficient.
			for j := range m {
				var sum float64
				for i := range m {
					sum += hermite[m][j*m+i] * miss[i]
				}
				c[m+j] = sum / factorial[m+j] / scale
				scale *= d
			}
		}
	}
	return out
}

// nodeAt is the last node at or before u on the given side, −1 when there is
// none.
func (p *problem) nodeAt(u float64, side Side) int {
	k := sort.Search(len(p.nodes), func(i int) bool {
		nd := p.nodes[i]
		return nd.t > u || (side == Before && nd.t == u && nd.after)
	})
	return k - 1
}

// scaled writes the state at u on the scaled clock to x.
func (q *Path) scaled(u float64, side Side, x []float64) {
	p, m := q.prob, q.prob.m
	k := p.nodeAt(u, side)
	terms := 2 * m
	if k < 0 {
		k, terms = 0, m // before all: the motion of the first node carried back
	}
	s := u - p.nodes[k].t
	for a := range p.axes {
		c := q.seg[(k*p.axes+a)*2*m:]
		for i := range m {
			var sum float64
			for j := terms - 1; j >= i; j-- {
				sum = sum*s + c[j]*factorial[j]/factorial[j-i]
			}
			x[a*m+i] = sum
		}
	}
}

// Side returns position, velocity and acceleration at t on one side of it.
func (q *Path) Side(t float64, side Side) (pos, vel, acc [2]float64) {
	p := q.prob
	var x [2 * MaxOrder]float64
	q.scaled((t-p.t0)/p.unit, side, x[:])
	for a := range p.axes {
		pos[a] = x[a*p.m]
		if p.m > 1 {
			vel[a] = x[a*p.m+1] / p.unit
		}
		if p.m > 2 {
			acc[a] = x[a*p.m+2] / (p.unit * p.unit)
		}
	}
	return pos, vel, acc
}

// At returns position and velocity at t, at a kink those before it.
func (q *Path) At(t float64) (pos, vel [2]float64) {
	pos, vel, _ = q.Side(t, Before)
	return pos, vel
}
