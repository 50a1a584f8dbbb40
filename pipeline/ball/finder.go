package ball

import (
	"errors"
	"fmt"
	"image"
	"math"
	"sort"

	"ashline/pipeline/track"

	"gocv.io/x/gocv"
)

// ErrSize says that frames of one clip differ in size.
var ErrSize = errors.New("ball: the picture's size changes within the clip")

const (
	lagS       = 0.008 // s: a ball at 10 m/s moves its own diameter
	threshold  = 14    // 8-bit steps of difference
	minPixels  = 3     // at half resolution
	maxBlobs   = 40    // a frame
	maxShare   = 0.004 // of the picture: larger patches are people and bats
	windowGrow = 3     // px around a patch that still count for its centre
	cropPeak   = 20    // 8-bit steps: fainter blobs are not kept for a closer look
	cropPx     = 64    // larger ones neither
	agree      = 16    // 8-bit steps between before and after
	capShare   = 0.25  // of the largest difference: from here a pixel counts as covered
)

// Finder looks for moving blobs.
type Finder struct {
	lag    int
	w, h   int
	ring   []plane // the last 2·lag+1 frames, oldest first
	added  int
	labels gocv.Mat
	stats  gocv.Mat
	cents  gocv.Mat
	diff   gocv.Mat
	diff2  gocv.Mat
	mask   gocv.Mat
}

type plane struct {
	full []uint8
	half gocv.Mat
}

// NewFinder makes a finder for frames of w × h px at fps frames a second.
func NewFinder(w, h int, fps float64) *Finder {
	lag := max(1, int(math.Round(lagS*fps)))
	return &Finder{
		lag: lag, w: w, h: h,
		labels: gocv.NewMat(), stats: gocv.NewMat(), cents: gocv.NewMat(),
		diff: gocv.NewMat(), diff2: gocv.NewMat(), mask: gocv.NewMat(),
	}
}

// Close frees what OpenCV holds.
func (f *Finder) Close() {
	for _, p := range f.ring {
		p.half.Close()
	}
	for _, m := range []*gocv.Mat{&f.labels, &f.stats, &f.cents, &f.diff, &f.diff2, &f.mask} {
		m.Close()
	}
	f.ring = nil
}

// Add takes the next frame's luma plane (copied). When the frame lag steps
// back has both neighbours, its index and blobs are returned, else index −1.
func (f *Finder) Add(luma []uint8) (int, []track.Blob, error) {
	if len(luma) != f.w*f.h {
		return -1, nil, fmt.Errorf("%w: %d samples, not %d", ErrSize, len(luma), f.w*f.h)
	}
	p, err := f.push(luma)
	if err != nil {
		return -1, nil, err
	}
	f.ring = append(f.ring, p)
	f.added++
	if len(f.ring) < 2*f.lag+1 {
		return -1, nil, nil
	}
	before, now, after := f.ring[0], f.ring[f.lag], f.ring[2*f.lag]
	blobs, err := f.blobs(before, now, after)
	return f.added - 1 - f.lag, blobs, err
}

// push makes the newest plane, reusing the memory of the one that leaves.
func (f *Finder) push(luma []uint8) (plane, error) {
	var p plane
	if len(f.ring) == 2*f.lag+1 {
		p = f.ring[0]
		f.ring = append(f.ring[:0], f.ring[1:]...)
	} else {
		p = plane{full: make([]uint8, f.w*f.h), half: gocv.NewMat()}
	}
	copy(p.full, luma)
	src, err := gocv.NewMatFromBytes(f.h, f.w, gocv.MatTypeCV8U, p.full)
	if err != nil {
		return p, fmt.Errorf("ball: %w", err)
	}
	defer src.Close()
	gocv.Resize(src, &p.half, image.Pt(f.w/2, f.h/2), 0, 0, gocv.InterpolationArea)
	return p, nil
}

func (f *Finder) blobs(before, now, after plane) ([]track.Blob, error) {
	gocv.Subtract(now.half, before.half, &f.diff)
	gocv.Subtract(now.half, after.half, &f.diff2)
	gocv.Min(f.diff, f.diff2, &f.diff)
	gocv.Threshold(f.diff, &f.mask, threshold, 255, gocv.ThresholdBinary)
	n := gocv.ConnectedComponentsWithStatsWithParams(f.mask, &f.labels, &f.stats, &f.cents, 8, gocv.MatTypeCV16U, gocv.CCL_DEFAULT)
	limit := maxShare * float64(f.w/2*(f.h/2))
	var out []track.Blob
	for id := 1; id < n; id++ {
		area := int(f.stats.GetIntAt(id, 4))
		if area < minPixels || float64(area) > limit {
			continue
		}
		r := image.Rect(0, 0, int(f.stats.GetIntAt(id, 2)), int(f.stats.GetIntAt(id, 3)))
		r = r.Add(image.Pt(int(f.stats.GetIntAt(id, 0)), int(f.stats.GetIntAt(id, 1))))
		if b, ok := f.measure(before, now, after, r); ok {
			out = append(out, b)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Mass > out[j].Mass })
	if len(out) > maxBlobs {
		out = out[:maxBlobs]
	}
	return out, nil
}

// crop copies a rectangle with a little room around it.
func (f *Finder) crop(before, now, after plane, x0, y0, x1, y1 int) *track.Crop {
	x0, y0, x1, y1 = max(0, x0-2), max(0, y0-2), min(f.w, x1+2), min(f.h, y1+2)
	c := &track.Crop{X0: x0, Y0: y0, W: x1 - x0, H: y1 - y0}
	n := c.W * c.H
	buf := make([]uint8, 2*n)
	c.Now, c.Back, c.Known = buf[:n], buf[n:], make([]bool, n)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			p, q := y*f.w+x, (y-y0)*c.W+x-x0
			b, a := int(before.full[p]), int(after.full[p])
			c.Now[q], c.Back[q] = now.full[p], uint8((a+b+1)/2)
			c.Known[q] = a-b < agree && b-a < agree
		}
	}
	return c
}

// measure weighs a patch at full resolution. r is its box at half resolution.
//
// A ball is lit from above: its top is far brighter than the background, its
// underside hardly, or darker. So the weight is the size of the difference,
// whatever its sign, and is capped low: it says that the ball is there, not how
// bright it is.
func (f *Finder) measure(before, now, after plane, r image.Rectangle) (track.Blob, bool) {
	x0, x1 := max(0, 2*r.Min.X-windowGrow), min(f.w, 2*r.Max.X+windowGrow)
	y0, y1 := max(0, 2*r.Min.Y-windowGrow), min(f.h, 2*r.Max.Y+windowGrow)
	differs := func(p int) float64 {
		d, e := int(now.full[p])-int(before.full[p]), int(now.full[p])-int(after.full[p])
		if (d > 0) != (e > 0) {
			return 0
		}
		return math.Max(0, math.Min(math.Abs(float64(d)), math.Abs(float64(e)))-threshold/2)
	}
	peak := 0.0
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			peak = math.Max(peak, differs(y*f.w+x))
		}
	}
	limit := capShare * peak
	weight := func(p int) float64 { return math.Min(differs(p), limit) }
	var m, sx, sy float64
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			w := weight(y*f.w + x)
			m += w
			sx += w * float64(x)
			sy += w * float64(y)
		}
	}
	if m <= 0 {
		return track.Blob{}, false
	}
	cx, cy := sx/m, sy/m
	var xx, xy, yy float64
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			w := weight(y*f.w + x)
			dx, dy := float64(x)-cx, float64(y)-cy
			xx += w * dx * dx
			xy += w * dx * dy
			yy += w * dy * dy
		}
	}
	xx, xy, yy = xx/m, xy/m, yy/m
	tr, d := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	dir := 0.5 * math.Atan2(2*xy, xx-yy)
	b := track.Blob{
		X: cx, Y: cy, Along: math.Sqrt(tr + d), Cross: math.Sqrt(math.Max(0.05, tr-d)),
		DirX: math.Cos(dir), DirY: math.Sin(dir), Mass: m / limit, Peak: peak,
	}
	if peak >= cropPeak && x1-x0 <= cropPx && y1-y0 <= cropPx {
		b.Crop = f.crop(before, now, after, x0, y0, x1, y1)
	}
	return b, true
}
