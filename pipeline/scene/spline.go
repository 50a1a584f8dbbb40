package scene

// spline is a cubic through knots with two continuous derivatives and zero
// slope at both ends, constant outside them.
type spline struct{ t, y, m []float64 }

func newSpline(t, y []float64) spline {
	n := len(t)
	// Slopes m solve the tridiagonal system of equal second derivatives.
	sub, dia, sup, rhs := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	dia[0], dia[n-1] = 1, 1
	for i := 1; i < n-1; i++ {
		h0, h1 := t[i]-t[i-1], t[i+1]-t[i]
		sub[i], dia[i], sup[i] = 1/h0, 2/h0+2/h1, 1/h1
		rhs[i] = 3*(y[i]-y[i-1])/(h0*h0) + 3*(y[i+1]-y[i])/(h1*h1)
	}
	for i := 1; i < n; i++ {
		k := sub[i] / dia[i-1]
		dia[i] -= k * sup[i-1]
		rhs[i] -= k * rhs[i-1]
	}
	m := make([]float64, n)
	m[n-1] = rhs[n-1] / dia[n-1]
	for i := n - 2; i >= 0; i-- {
		m[i] = (rhs[i] - sup[i]*m[i+1]) / dia[i]
	}
	return spline{t, y, m}
}

// at gives value and slope.
func (s spline) at(t float64) (value, slope float64) {
	n := len(s.t)
	if t <= s.t[0] {
		return s.y[0], 0
	}
	if t >= s.t[n-1] {
		return s.y[n-1], 0
	}
	i := 0
	for t > s.t[i+1] {
		i++
	}
	return hermite((t-s.t[i])/(s.t[i+1]-s.t[i]), s.t[i+1]-s.t[i], s.y[i], s.y[i+1], s.m[i], s.m[i+1])
}

// hermite evaluates a cubic on a cell of length h at u in 0..1 from end values
// and slopes.
func hermite(u, h, y0, y1, m0, m1 float64) (value, slope float64) {
	a := h*m0 - (y1 - y0)
	b := -h*m1 + (y1 - y0)
	value = (1-u)*y0 + u*y1 + u*(1-u)*((1-u)*a+u*b)
	slope = (y1 - y0 + (1-2*u)*((1-u)*a+u*b) + u*(1-u)*(b-a)) / h
	return value, slope
}

// path is a spline in space.
type path struct{ x, y, z spline }

func newPath(t []float64, p []Vec) path {
	x, y, z := make([]float64, len(p)), make([]float64, len(p)), make([]float64, len(p))
	for i, v := range p {
		x[i], y[i], z[i] = v.X, v.Y, v.Z
	}
	return path{newSpline(t, x), newSpline(t, y), newSpline(t, z)}
}

func (p path) at(t float64) (pos, vel Vec) {
	pos.X, vel.X = p.x.at(t)
	pos.Y, vel.Y = p.y.at(t)
	pos.Z, vel.Z = p.z.at(t)
	return pos, vel
}
