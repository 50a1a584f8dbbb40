package scene

import "math"

// capsule is a limb: two spheres and the cone between them.
type capsule struct {
	a, b    Vec
	ra, rb  float64 // m
	colour  rgb
	weave   float32 // strength of the cloth's folds
	seed    uint64
	farSide bool // behind the cage's net
}

// layer holds the people of one instant: premultiplied colour, coverage and
// depth a pixel.
type layer struct {
	w, h           int
	colour         []float32
	cover, depth   []float32
	x0, y0, x1, y1 int // what was touched
}

func newLayer(w, h int) *layer {
	return &layer{w: w, h: h, colour: make([]float32, 3*w*h), cover: make([]float32, w*h), depth: make([]float32, w*h), x0: w, y0: h}
}

func (l *layer) clear() {
	for y := l.y0; y < l.y1; y++ {
		clear(l.cover[y*l.w+l.x0 : y*l.w+l.x1])
		clear(l.colour[3*(y*l.w+l.x0) : 3*(y*l.w+l.x1)])
	}
	l.x0, l.y0, l.x1, l.y1 = l.w, l.h, 0, 0
}

// light is where the lamps are, seen from the hitter: above, and a little to
// the camera's side.
func light(cameraSide float64) Vec { return Vec{0.18, 0.42 * cameraSide, 0.88}.unit() }

// draw adds the capsule to rows top..bottom; the edge of a pixel is covered by
// its distance to the outline.
func (l *layer) draw(c *capsule, v *view, lamp *lamp, net []float32, top, bottom int) {
	pa, pb := v.project(c.a), v.project(c.b)
	if pa.DepthM < 0.3 || pb.DepthM < 0.3 {
		return
	}
	f := v.cam.FocalPx
	ra, rb := c.ra*f/pa.DepthM, c.rb*f/pb.DepthM
	x0 := max(0, int(math.Floor(math.Min(pa.XPx-ra, pb.XPx-rb)-1)))
	x1 := min(l.w, int(math.Ceil(math.Max(pa.XPx+ra, pb.XPx+rb)+2)))
	y0 := max(top, int(math.Floor(math.Min(pa.YPx-ra, pb.YPx-rb)-1)))
	y1 := min(bottom, int(math.Ceil(math.Max(pa.YPx+ra, pb.YPx+rb)+2)))
	if x0 >= x1 || y0 >= y1 {
		return
	}
	l.x0, l.y0, l.x1, l.y1 = min(l.x0, x0), min(l.y0, y0), max(l.x1, x1), max(l.y1, y1)
	ex, ey := pb.XPx-pa.XPx, pb.YPx-pa.YPx
	h := math.Hypot(ex, ey)
	k, tilt := 0.0, 0.0
	if h > 1e-9 {
		ex, ey = ex/h, ey/h
		k = (ra - rb) / h
	}
	if math.Abs(k) < 0.999 {
		tilt = k / math.Sqrt(1-k*k)
	}
	lx, ly, lz := lamp.dir.dot(v.cam.Right), lamp.dir.dot(v.cam.Down), -lamp.dir.dot(v.cam.Forward)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			dx, dy := float64(x)-pa.XPx, float64(y)-pa.YPx
			along, across := dx*ex+dy*ey, dx*ey-dy*ex
			t := 0.0
			if h > 1e-9 {
				t = clamp((along-math.Abs(across)*tilt)/h, 0, 1)
			}
			r := ra + t*(rb-ra)
			if h <= 1e-9 {
				r = math.Max(ra, rb)
			}
			qx, qy := dx-t*h*ex, dy-t*h*ey
			q2 := qx*qx + qy*qy
			if q2 > (r+0.5)*(r+0.5) {
				continue
			}
			q := math.Sqrt(q2)
			cover := clamp(0.5-(q-r), 0, 1)
			if cover == 0 {
				continue
			}
			nz := math.Sqrt(math.Max(0, 1-q2/(r*r)))
			z := pa.DepthM + t*(pb.DepthM-pa.DepthM)
			z -= nz * r * z / f
			nx, ny := qx/r, qy/r
			bright := lamp.even*0.30 + lamp.direct*0.62*math.Max(0, nx*lx+ny*ly+nz*lz) + lamp.even*0.14*nz
			bright += lamp.upper(nx*v.cam.Right.Z + ny*v.cam.Down.Z - nz*v.cam.Forward.Z)
			if c.weave > 0 {
				g := grain(t*7+across/r*1.2, across/r*2.5+t*3, c.seed)
				bright *= 1 + float64(c.weave)*(g-0.5)
			}
			l.put(y*l.w+x, c.colour.times(float32(bright)), float32(cover), float32(z), c.farSide, net)
		}
	}
}

// put lays a colour over or under what the pixel holds, by depth.
func (l *layer) put(i int, col rgb, cover, z float32, farSide bool, net []float32) {
	if farSide && net != nil {
		cover *= 1 - net[i]
	}
	old := l.cover[i]
	p := l.colour[3*i : 3*i+3 : 3*i+3]
	if old == 0 || z < l.depth[i] {
		for k := range 3 {
			p[k] = p[k]*(1-cover) + col[k]*cover
		}
		l.cover[i] = old + cover*(1-old)
		if old == 0 || cover > 0.5 {
			l.depth[i] = z
		}
		return
	}
	k := cover * (1 - old)
	for j := range 3 {
		p[j] += col[j] * k
	}
	l.cover[i] = old + k
}
