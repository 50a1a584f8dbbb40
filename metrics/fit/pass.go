package fit

import "math"

// info is knowledge of a state x as an array R·x = z + unit noise, R upper
// triangular; no knowledge is R = 0.
type info struct{ r, z []float64 }

// step is what a passage from one node to the next leaves behind:
// x_k = a·x_(k+1) + b + c·ε with ε standard normal and independent of x_(k+1).
type step struct{ a, b, c []float64 }

// pass carries information forward through the nodes of a problem.
type pass struct {
	*problem
	q          float64 // on the scaled clock
	now        info
	sse        float64 // squared residuals, whitened
	logDetW    float64 // Σ log|R_ww|
	priorLog   float64 // log det of the prior's root, when there is one
	f, g, work []float64
	inv, tmp   []float64
}

func newPass(p *problem, q float64) *pass {
	n := p.n
	s := &pass{
		problem: p, q: q * math.Pow(p.unit, float64(2*p.m-1)),
		now:  info{r: make([]float64, n*n), z: make([]float64, n)},
		f:    make([]float64, p.m*p.m),
		g:    make([]float64, p.axes*p.m*p.m),
		work: make([]float64, (2*n)*(2*n+1)),
		inv:  make([]float64, n*n), tmp: make([]float64, n*n),
	}
	if p.prior != nil {
		for a := range p.axes {
			pow := 1.0
			for k := range p.m {
				i := a*p.m + k
				s.now.r[i*n+i] = 1 / (p.prior.SD[k] * pow)
				s.now.z[i] = p.prior.Mean[a][k] * pow * s.now.r[i*n+i]
				s.priorLog += math.Log(s.now.r[i*n+i])
				pow *= p.unit
			}
		}
	}
	return s
}

// measure takes one node's sightings in.
func (s *pass) measure(nd *node) {
	if len(nd.seen) == 0 {
		return
	}
	n, cols := s.n, s.n+1
	rows := n + len(nd.seen)
	if len(s.work) < rows*cols {
		s.work = make([]float64, rows*cols)
	}
	w := s.work[:rows*cols]
	clear(w)
	for i := range n {
		copy(w[i*cols+i:i*cols+n], s.now.r[i*n+i:(i+1)*n])
		w[i*cols+n] = s.now.z[i]
	}
	for k, x := range nd.seen {
		row := w[(n+k)*cols : (n+k+1)*cols]
		for a := range s.axes {
			row[a*s.m] = x.coef[a]
		}
		row[n] = x.value
	}
	triangularise(w, rows, cols, n)
	for i := range n {
		copy(s.now.r[i*n:(i+1)*n], w[i*cols:i*cols+n])
		s.now.z[i] = w[i*cols+n]
	}
	for k := range nd.seen {
		e := w[(n+k)*cols+n]
		s.sse += e * e
	}
}

// move carries the information over a step to nd and, when keep is not nil,
// leaves the way back there.
func (s *pass) move(d float64, jump []float64, keep *step) {
	n, m := s.n, s.m
	transition(s.f, m, -d)
	if jump == nil {
		noiseRoot(s.g[:m*m], m, d, s.q)
		for a := 1; a < s.axes; a++ {
			copy(s.g[a*m*m:], s.g[:m*m])
		}
	} else {
		clear(s.g)
		for a := range s.axes {
			for i := range m {
				s.g[a*m*m+i*m+i] = jump[a*m+i]
			}
		}
	}
	// Unknowns are (w, x_next); x = F⁻¹(x_next − G·w).
	cols := 2*n + 1
	wk := s.work[:2*n*cols]
	clear(wk)
	for i := range n {
		wk[i*cols+i] = 1
		row := wk[(n+i)*cols : (n+i+1)*cols]
		for a := range s.axes {
			for j := range m {
				var sum float64
				for l := range j + 1 {
					sum += s.now.r[i*n+a*m+l] * s.f[l*m+j]
				}
				row[n+a*m+j] = sum
			}
			for j := range m {
				var sum float64
				for l := j; l < m; l++ {
					sum -= row[n+a*m+l] * s.g[a*m*m+l*m+j]
				}
				row[a*m+j] = sum
			}
		}
		row[2*n] = s.now.z[i]
	}
	triangularise(wk, 2*n, cols, 2*n)
	for i := range n {
		s.logDetW += math.Log(math.Abs(wk[i*cols+i]))
		copy(s.now.r[i*n:(i+1)*n], wk[(n+i)*cols+n:(n+i)*cols+2*n])
		s.now.z[i] = wk[(n+i)*cols+2*n]
	}
	if keep != nil {
		s.wayBack(wk, cols, keep)
	}
}

// shift adds a known jump to the state just moved to.
func (s *pass) shift(mean []float64, keep *step) {
	n := s.n
	for i := range n {
		for j := range n {
			s.now.z[i] += s.now.r[i*n+j] * mean[j]
			if keep != nil {
				keep.b[i] -= keep.a[i*n+j] * mean[j]
			}
		}
	}
}

// wayBack solves the top rows of a moved array for w and puts it into
// x = F⁻¹(x_next − G·w).
func (s *pass) wayBack(wk []float64, cols int, keep *step) {
	n, m := s.n, s.m
	// R_ww is never singular, it contains the unit information of w.
	invertUpper(s.inv, wk, n, cols, 0)
	keep.a, keep.b, keep.c = make([]float64, n*n), make([]float64, n), make([]float64, n*n)
	// tmp = F⁻¹·G by blocks, one an axis, then c = −F⁻¹·G·R_ww⁻¹.
	fg := s.tmp[:m*m]
	for a := range s.axes {
		g := s.g[a*m*m : (a+1)*m*m]
		for i := range m {
			for j := range m {
				var sum float64
				for l := max(i, j); l < m; l++ {
					sum += s.f[i*m+l] * g[l*m+j]
				}
				fg[i*m+j] = sum
			}
		}
		for i := range m {
			row := a*m + i
			for j := range n {
				var sum float64
				for l := range m {
					sum -= fg[i*m+l] * s.inv[(a*m+l)*n+j]
				}
				keep.c[row*n+j] = sum
			}
			copy(keep.a[row*n+a*m:row*n+a*m+m], s.f[i*m:(i+1)*m])
		}
	}
	for i := range n {
		for l := range n {
			c := keep.c[i*n+l]
			if c == 0 {
				continue
			}
			for j := range n {
				keep.a[i*n+j] -= c * wk[l*cols+n+j]
			}
			keep.b[i] += c * wk[l*cols+2*n]
		}
	}
}

// run goes through all nodes. With keep it returns the information at each node
// and the way back from each to the one before.
func (s *pass) run(keep bool) (at []info, back []step) {
	if keep {
		at, back = make([]info, len(s.nodes)), make([]step, len(s.nodes))
	}
	for k := range s.nodes {
		nd := &s.nodes[k]
		if k > 0 && (nd.jump != nil || nd.t > s.nodes[k-1].t) {
			var to *step
			if keep {
				to = &back[k]
			}
			s.move(nd.t-s.nodes[k-1].t, nd.jump, to)
			if nd.mean != nil {
				s.shift(nd.mean, to)
			}
		}
		s.measure(nd)
		if keep {
			at[k] = info{r: append([]float64(nil), s.now.r...), z: append([]float64(nil), s.now.z...)}
		}
	}
	return at, back
}

// logLik is the log-likelihood after run, with a diffuse start counted as in
// Durbin & Koopman, Time Series Analysis by State Space Methods, 2001, ch. 5:
// a flat density of 1 over the start. noise multiplies all variances.
func (s *pass) logLik(noise float64) (float64, bool) {
	n := float64(s.n)
	ll := s.logDetWhite - s.logDetW - s.sse/(2*noise)
	dof := float64(s.rows)
	if s.prior == nil {
		dof -= n
		// The flat density counts in the units of the state, not of the clock.
		ll -= float64(s.axes*s.m*(s.m-1)/2) * math.Log(s.unit)
	} else {
		ll += s.priorLog
	}
	ll -= dof / 2 * math.Log(2*math.Pi*noise)
	var most float64
	for i := range s.n {
		most = math.Max(most, math.Abs(s.now.r[i*s.n+i]))
	}
	for i := range s.n {
		d := math.Abs(s.now.r[i*s.n+i])
		if d <= singular*most {
			return math.Inf(-1), false
		}
		ll -= math.Log(d)
	}
	return ll, true
}
