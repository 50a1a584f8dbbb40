package mark

import (
	"math"

	"ashline/pipeline/ycbcr"
)

// A pixel of a band's rim or of a streak shows the band for a share α of its
// area and of the exposure, and what lies behind for the rest:
//
//	p = α·s·F + (1−α)·B
//
// in linear light, with F the band's colour in full light, s its shade and B the
// background. Chroma alone gives α·s, so that the dark side of a round bat would
// weigh less than the lit one. Luma and chroma together give a = α·s and 1−α,
// as far as F and B are unlike; the rest is left to the shade of the pixels
// next to it, which a = s·α ties to α with the error shadeTol.
const (
	rim        = 2    // chroma px round the patch that the band may still touch
	ringWidth  = 2    // chroma px round those that show the background
	backReach  = 4    // chroma px that background is taken from
	shadeFirst = 0.35 // relative error of the shade that is not yet known
	shadeTol   = 0.12 // and of that of the pixels next to it
	leastShade = 0.4  // of full light: what a band in its own shadow still shows
	slackShade = 1.5  // shades darker than the neighbours by this count as less covered
	fullLight  = 0.7  // of the strongest chroma: pixels from here make the band's colour
	noiseLin   = 0.007
	passes     = 2
	boxShare   = 1.0 / 400 // of the picture: the largest box of a patch with its ring
	leastBox   = 600       // chroma px that it may have in any picture
)

// coverage is a patch: the centroid of α, luma px, and of the light a = α·s that it
// sends, the sum of a, luma px, and its central second and third moments, px² and
// px³. The centroid of α is the noisier one, and where the band is hardly thicker
// than a sample and dark on one side it is off.
type coverage struct {
	x, y       float64
	litX, litY float64
	area       float64
	xx, xy, yy float64
	third      [4]float64 // xxx, xxy, xyy, yyy
}

type vec [3]float64

func (a vec) dot(b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// site is a pixel of the ring.
type site struct{ x, y, k int }

// matte solves patches; its memory is used again.
type matte struct {
	coding Coding
	site   Site
	across [4]float64    // shares of the columns about a chroma sample
	down   [4]float64    // and of the rows
	light  [1025]float64 // linear light of k/1024

	w, h, x0, y0 int // the box, chroma pixels
	px           []vec
	far          []uint8 // chessboard distance from the patch
	chroma       []float64
	other        []bool
	ring         []site
	back         []vec
	alpha        []float64
	amount       []float64
	shade        []float64
}

func newMatte(coding Coding, site Site) *matte {
	m := &matte{coding: coding, site: site, across: shares(site.X), down: shares(site.Y)}
	for k := range m.light {
		m.light[k] = toneLinear(float64(k) / 1024)
	}
	return m
}

func (m *matte) linear(v float64) float64 {
	v = 1024 * math.Max(0, math.Min(0.9999, v))
	k := int(v)
	return m.light[k] + (v-float64(k))*(m.light[k+1]-m.light[k])
}

// solve measures one patch of a model; own tells which chroma pixels have its colour. It
// is false when there is too little background to see or the patch is too large for a
// band.
func (m *matte) solve(f planes, l *layer, p patch, model Model, own func(x, y int) bool) (coverage, bool) {
	grow := rim + ringWidth
	m.x0, m.y0 = max(0, p.x0-grow), max(0, p.y0-grow)
	m.w, m.h = min(f.u.Width, p.x1+grow)-m.x0, min(f.u.Height, p.y1+grow)-m.y0
	n := m.w * m.h
	if float64(n) > math.Max(leastBox, boxShare*float64(f.u.Width*f.u.Height)) {
		return coverage{}, false
	}
	m.clear(n)
	for _, i := range p.runs {
		r := l.runs[i]
		at := (r.y-m.y0)*m.w + r.x - m.x0
		for k := at; k < at+len(r.weight); k++ {
			m.far[k], m.alpha[k] = 0, 0.5 // until it is solved
		}
	}
	m.spread()
	m.read(f, model, own)
	cov, ok := m.background()
	if !ok {
		return coverage{}, false
	}
	full, ok := m.full()
	if !ok {
		return coverage{}, false
	}
	axes, spread := principal(cov)
	for pass := range passes {
		tol := shadeTol
		if pass == 0 {
			tol = shadeFirst
		}
		m.separate(full, axes, spread, tol)
		m.shades()
	}
	return m.sum()
}

func (m *matte) clear(n int) {
	if cap(m.px) < n {
		m.px, m.back = make([]vec, n), make([]vec, n)
		m.far, m.other = make([]uint8, n), make([]bool, n)
		m.chroma, m.alpha = make([]float64, n), make([]float64, n)
		m.amount, m.shade = make([]float64, n), make([]float64, n)
	}
	m.px, m.back, m.far, m.other = m.px[:n], m.back[:n], m.far[:n], m.other[:n]
	m.chroma, m.alpha, m.amount, m.shade = m.chroma[:n], m.alpha[:n], m.amount[:n], m.shade[:n]
	clear(m.amount)
	clear(m.other)
	for k := range m.far {
		m.far[k], m.alpha[k], m.shade[k] = 255, 0, 1
	}
}

// spread writes each pixel's distance from the patch.
func (m *matte) spread() {
	for d := uint8(1); d <= rim+ringWidth; d++ {
		for y := range m.h {
			for x := range m.w {
				if k := y*m.w + x; m.far[k] > d && m.touches(x, y, d-1) {
					m.far[k] = d
				}
			}
		}
	}
}

func (m *matte) touches(x, y int, d uint8) bool {
	for v := max(0, y-1); v <= min(m.h-1, y+1); v++ {
		for u := max(0, x-1); u <= min(m.w-1, x+1); u++ {
			if m.far[v*m.w+u] == d {
				return true
			}
		}
	}
	return false
}

// read turns the samples of the box into linear light at the chroma samples.
func (m *matte) read(f planes, model Model, own func(x, y int) bool) {
	kr, kb := ycbcr.Weights(m.coding.Matrix)
	y0, ySpan, cSpan := ycbcr.Scales(m.coding.FullRange)
	cu, cv := math.Cos(model.HueRad), math.Sin(model.HueRad)
	for y := range m.h {
		for x := range m.w {
			k := y*m.w + x
			if m.far[k] == 255 {
				continue
			}
			cx, cy := m.x0+x, m.y0+y
			u, v := f.u.Pix[cy*f.u.Stride+cx], f.v.Pix[cy*f.v.Stride+cx]
			du, dv := float64(u)-128, float64(v)-128
			m.chroma[k] = du*cu + dv*cv
			m.other[k] = m.far[k] > 0 && own(cx, cy)
			l := (m.luma(f.y, cx, cy) - y0) / ySpan
			b, r := du/cSpan*2*(1-kb), dv/cSpan*2*(1-kr)
			m.px[k] = vec{m.linear(l + r), m.linear(l - (kr*r+kb*b)/(1-kr-kb)), m.linear(l + b)}
		}
	}
}

// luma is the mean luma about a chroma sample, over two columns and two rows.
func (m *matte) luma(p Plane, cx, cy int) float64 {
	sum := 0.0
	for j, wy := range m.down {
		if wy == 0 {
			continue
		}
		y := min(max(2*cy+j-1, 0), p.Height-1)
		row := p.Pix[y*p.Stride : y*p.Stride+p.Width]
		for i, wx := range m.across {
			if wx != 0 {
				sum += wy * wx * float64(row[min(max(2*cx+i-1, 0), p.Width-1)])
			}
		}
	}
	return sum
}

// shares are what the luma samples −1 to 2 have of the two samples' width about a
// chroma sample at site.
func shares(site float64) (out [4]float64) {
	for i := range out {
		x := float64(i - 1)
		out[i] = math.Max(0, math.Min(x+0.5, site+1)-math.Max(x-0.5, site-1)) / 2
	}
	return out
}

// background guesses what lies behind each pixel from the ring, by one over the
// distance squared, and returns how much the ring varies from pixel to pixel.
func (m *matte) background() (cov [3]vec, ok bool) {
	m.ring = m.ring[:0]
	var mean vec
	pairs := 0.0
	for k, p := range m.px {
		if !m.onRing(k) {
			continue
		}
		m.ring = append(m.ring, site{k % m.w, k / m.w, k})
		for c := range mean {
			mean[c] += p[c]
		}
		for _, q := range [2]int{k + 1, k + m.w} {
			if q >= len(m.px) || (q == k+1 && q%m.w == 0) || !m.onRing(q) {
				continue
			}
			pairs++
			for a := range cov {
				for b := range cov {
					cov[a][b] += (p[a] - m.px[q][a]) * (p[b] - m.px[q][b])
				}
			}
		}
	}
	if len(m.ring) < 8 || pairs < 8 {
		return cov, false
	}
	for a := range cov {
		mean[a] /= float64(len(m.ring))
		for b := range cov {
			cov[a][b] /= pairs // twice the variance: a guess from a neighbour errs by as much again
		}
	}
	for y := range m.h {
		for x := range m.w {
			if m.far[y*m.w+x] <= rim {
				m.back[y*m.w+x] = m.behind(x, y, mean)
			}
		}
	}
	return cov, true
}

func (m *matte) onRing(k int) bool {
	return m.far[k] > rim && m.far[k] <= rim+ringWidth && !m.other[k]
}

func (m *matte) behind(x, y int, mean vec) vec {
	const faint = 1e-4 // of the mean, for pixels that no ring is near
	sum := vec{faint * mean[0], faint * mean[1], faint * mean[2]}
	total := faint
	for _, r := range m.ring {
		d := (r.x-x)*(r.x-x) + (r.y-y)*(r.y-y)
		if d > backReach*backReach {
			continue
		}
		g, p := 1/float64(d), &m.px[r.k]
		total += g
		sum[0] += g * p[0]
		sum[1] += g * p[1]
		sum[2] += g * p[2]
	}
	return vec{sum[0] / total, sum[1] / total, sum[2] / total}
}

// full is the band's colour in full light.
func (m *matte) full() (f vec, ok bool) {
	top := 0.0
	for k, c := range m.chroma {
		if m.far[k] == 0 {
			top = math.Max(top, c)
		}
	}
	n := 0.0
	for k, c := range m.chroma {
		if m.far[k] == 0 && c > fullLight*top {
			n++
			for i := range f {
				f[i] += m.px[k][i]
			}
		}
	}
	if n == 0 {
		return f, false
	}
	return vec{f[0] / n, f[1] / n, f[2] / n}, true
}

// separate solves each pixel for a = α·s and 1−α by weighted least squares. The
// background's own variation counts as noise as far as it shows; axes and spread
// are its principal axes and variances.
func (m *matte) separate(full vec, axes [3]vec, spread vec, tol float64) {
	f := times(axes, full)
	for k := range m.px {
		if m.far[k] > rim {
			continue
		}
		p, b, s := times(axes, m.px[k]), times(axes, m.back[k]), m.shade[k]
		g := 1 / (tol * tol * s * s)
		ff, fb, bb, pf, pb := g, g*s, g*s*s, g*s, g*s*s
		show := (1 - m.alpha[k]) * (1 - m.alpha[k])
		for c := range p {
			w := 1 / (show*spread[c] + noiseLin*noiseLin)
			ff += w * f[c] * f[c]
			fb += w * f[c] * b[c]
			bb += w * b[c] * b[c]
			pf += w * p[c] * f[c]
			pb += w * p[c] * b[c]
		}
		det := ff*bb - fb*fb
		if !(det > 0) {
			continue
		}
		amount := math.Max(0, (pf*bb-pb*fb)/det)
		alpha := math.Min(1-(pb*ff-pf*fb)/det, slackShade*amount/s)
		m.amount[k], m.alpha[k] = amount, math.Max(0, math.Min(1, alpha))
	}
}

// shades takes for each pixel's shade the mean of the five largest amounts near
// it, which are those of pixels that the band covers whole.
func (m *matte) shades() {
	const reach, best = 2, 5
	for y := range m.h {
		for x := range m.w {
			if m.far[y*m.w+x] > rim {
				continue
			}
			var top [best]float64
			for v := max(0, y-reach); v <= min(m.h-1, y+reach); v++ {
				for u := max(0, x-reach); u <= min(m.w-1, x+reach); u++ {
					if (u-x)*(u-x)+(v-y)*(v-y) > reach*reach+1 {
						continue
					}
					a := m.amount[v*m.w+u]
					if a <= top[best-1] {
						continue
					}
					for i := range top {
						if a > top[i] {
							a, top[i] = top[i], a
						}
					}
				}
			}
			sum := 0.0
			for _, a := range top {
				sum += a
			}
			m.shade[y*m.w+x] = math.Max(leastShade, sum/best)
		}
	}
}

func (m *matte) sum() (c coverage, ok bool) {
	var area float64
	if area, c.x, c.y = m.centroid(m.alpha); area < 1 {
		return c, false
	}
	if c.area, c.litX, c.litY = m.centroid(m.amount); c.area < 1 {
		return c, false
	}
	for k, a := range m.amount {
		if m.far[k] > rim || m.other[k] {
			continue
		}
		a /= c.area
		u, v := 2*(float64(k%m.w)-c.litX), 2*(float64(k/m.w)-c.litY)
		c.xx, c.xy, c.yy = c.xx+a*u*u, c.xy+a*u*v, c.yy+a*v*v
		for i, p := range [4]float64{u * u * u, u * u * v, u * v * v, v * v * v} {
			c.third[i] += a * p
		}
	}
	c.x, c.y = m.toLuma(c.x, c.y)
	c.litX, c.litY = m.toLuma(c.litX, c.litY)
	c.area *= 4
	return c, true
}

// centroid is the sum of a weight over the patch and its centroid in the box.
func (m *matte) centroid(weight []float64) (sum, x, y float64) {
	for k, a := range weight {
		if m.far[k] > rim || m.other[k] {
			continue
		}
		sum += a
		x, y = x+a*float64(k%m.w), y+a*float64(k/m.w)
	}
	return sum, x / sum, y / sum
}

func (m *matte) toLuma(x, y float64) (float64, float64) {
	return 2*(x+float64(m.x0)) + m.site.X, 2*(y+float64(m.y0)) + m.site.Y
}

func times(m [3]vec, v vec) vec { return vec{m[0].dot(v), m[1].dot(v), m[2].dot(v)} }

// principal returns the principal axes of a symmetric matrix and the variances
// along them, by Jacobi's rotations.
func principal(a [3]vec) (axes [3]vec, variance vec) {
	axes = [3]vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for range 6 {
		for _, ij := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			i, j := ij[0], ij[1]
			if a[i][j] == 0 {
				continue
			}
			sin, cos := math.Sincos(0.5 * math.Atan2(2*a[i][j], a[j][j]-a[i][i]))
			for k := range a { // columns, then rows
				a[k][i], a[k][j] = cos*a[k][i]-sin*a[k][j], sin*a[k][i]+cos*a[k][j]
			}
			for k := range a {
				a[i][k], a[j][k] = cos*a[i][k]-sin*a[j][k], sin*a[i][k]+cos*a[j][k]
				axes[i][k], axes[j][k] = cos*axes[i][k]-sin*axes[j][k], sin*axes[i][k]+cos*axes[j][k]
			}
		}
	}
	return axes, vec{math.Max(0, a[0][0]), math.Max(0, a[1][1]), math.Max(0, a[2][2])}
}
