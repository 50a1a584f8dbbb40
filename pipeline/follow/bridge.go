package follow

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"math"
	"sort"

	"gocv.io/x/gocv"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/fault"
	"ashline/pipeline/media"
	"ashline/pipeline/progress"
)

// Bounds of a bridge by optical flow: where a mark's colour is lost for a few
// frames, its surroundings on the bat may still be followed, from both sides.
const (
	bridgeFrames = 24  // longest gap
	bridgeWindow = 15  // px, of the flow's window, each way from the point
	bridgeBack   = 1.0 // px, forward-and-back error of a step
	bridgeAgree  = 3.0 // px, between the two directions, and one more per ten frames
	bridgeOff    = 25  // px from where the path's ends say it should be
)

// gap is a stretch of frames without a sample between two samples.
type gap struct{ from, to metrics.Sample }

// gaps lists the gaps of a mark within the swings.
func gaps(samples []metrics.Sample, spans []metrics.Span) []gap {
	var out []gap
	for i := 1; i < len(samples); i++ {
		a, b := samples[i-1], samples[i]
		n := b.Frame - a.Frame - 1
		if n < 1 || n > bridgeFrames {
			continue
		}
		for _, sp := range spans {
			if a.Frame >= sp.From && b.Frame < sp.To {
				out = append(out, gap{a, b})
			}
		}
	}
	return out
}

// Bridge carries the barrel over short gaps by flow.
func (g *Gathered) Bridge(ctx context.Context, path string, s *Sightings, report progress.Report) error {
	list := gaps(g.Track.Barrel, g.Track.Swings)
	if len(list) == 0 {
		return nil
	}
	var added []metrics.Sample
	for i, gp := range list {
		frames, err := lumas(ctx, path, s, gp.from.Frame, gp.to.Frame)
		if err != nil {
			return err
		}
		more, err := g.carry(s, gp, frames)
		if err != nil {
			return err
		}
		added = append(added, more...)
		report.At("bridge", i+1, len(list))
	}
	all := append(append([]metrics.Sample(nil), g.Track.Barrel...), added...)
	sort.SliceStable(all, func(i, j int) bool { return all[i].Frame < all[j].Frame })
	g.Track.Barrel = all
	return nil
}

// lumas decodes the luma planes of a range of frames, both ends included.
func lumas(ctx context.Context, path string, s *Sightings, from, to int) ([][]uint8, error) {
	dec, err := media.Open(ctx, path, s.Info, media.Options{StartS: s.FileS[from], EndS: s.FileS[to], Times: s.FileS})
	if err != nil {
		return nil, err
	}
	defer dec.Close()
	out := make([][]uint8, to-from+1)
	var f media.Frame
	for {
		if err := dec.Next(&f); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		if k := f.Index - from; k >= 0 && k < len(out) {
			out[k] = append([]uint8(nil), f.Y...)
		}
	}
	for k, y := range out {
		if y == nil {
			return nil, fmt.Errorf("%w: read a second time it lacks frame %d", media.ErrBroken, from+k)
		}
	}
	return out, nil
}

// carry follows the point through the gap in both directions and keeps the
// frames on which the two agree.
func (g *Gathered) carry(s *Sightings, gp gap, frames [][]uint8) ([]metrics.Sample, error) {
	n := len(frames)
	expect := g.expected(s, gp, n)
	forth, err := g.chain(s, frames, expect, 1)
	if err != nil {
		return nil, err
	}
	back, err := g.chain(s, frames, expect, -1)
	if err != nil {
		return nil, err
	}
	var out []metrics.Sample
	for k := 1; k < n-1; k++ {
		a, b := forth[k], back[k]
		if a == nil || b == nil || math.Hypot(a[0]-b[0], a[1]-b[1]) > bridgeAgree+float64(n)/10 {
			continue
		}
		w := float64(k) / float64(n-1)
		f := gp.from.Frame + k
		x, y := s.Moves[f].Apply((1-w)*a[0]+w*b[0], (1-w)*a[1]+w*b[1])
		steps := math.Min(float64(k), float64(n-1-k))
		sd := 1 + 0.3*steps + math.Hypot(a[0]-b[0], a[1]-b[1])/2
		out = append(out, metrics.Sample{
			Frame: f, TimeS: s.TimesS[f], XPx: x, YPx: y, VarXX: sd * sd, VarYY: sd * sd, How: metrics.Flow,
		})
	}
	return out, nil
}

// expected is the path through the gap, px of each frame as filmed, as a cubic
// with the speeds of the samples on either side.
func (g *Gathered) expected(s *Sightings, gp gap, n int) []geom.Point {
	speed := func(frame int, side int) geom.Point {
		var p, q *metrics.Sample
		for i := range g.Track.Barrel {
			x := &g.Track.Barrel[i]
			if side < 0 && x.Frame <= frame && x.Frame >= frame-3 {
				if p == nil {
					p = x
				}
				q = x
			}
			if side > 0 && x.Frame >= frame && x.Frame <= frame+3 {
				if p == nil {
					p = x
				}
				q = x
			}
		}
		if p == nil || q == nil || q.TimeS <= p.TimeS {
			return geom.Point{}
		}
		return geom.Point{(q.XPx - p.XPx) / (q.TimeS - p.TimeS), (q.YPx - p.YPx) / (q.TimeS - p.TimeS)}
	}
	a, b := gp.from, gp.to
	va, vb := speed(a.Frame, -1), speed(b.Frame, 1)
	span := b.TimeS - a.TimeS
	out := make([]geom.Point, n)
	for k := range out {
		f := a.Frame + k
		u := (s.TimesS[f] - a.TimeS) / span
		h00, h10 := (1+2*u)*(1-u)*(1-u), u*(1-u)*(1-u)
		h01, h11 := u*u*(3-2*u), u*u*(u-1)
		x := h00*a.XPx + h10*span*va[0] + h01*b.XPx + h11*span*vb[0]
		y := h00*a.YPx + h10*span*va[1] + h01*b.YPx + h11*span*vb[1]
		out[k][0], out[k][1] = s.Moves[f].Inverse().Apply(x, y)
	}
	return out
}

// chain steps the point from one end of the gap to the other; nil where it was
// lost.
func (g *Gathered) chain(s *Sightings, frames [][]uint8, expect []geom.Point, step int) ([]*geom.Point, error) {
	n := len(frames)
	out := make([]*geom.Point, n)
	i := 0
	if step < 0 {
		i = n - 1
	}
	at := expect[i]
	out[i] = &at
	for j := i + step; j >= 0 && j < n; j += step {
		guess := geom.Point{at[0] + expect[j][0] - expect[j-step][0], at[1] + expect[j][1] - expect[j-step][1]}
		next, ok, err := lkStep(frames[j-step], frames[j], s.Info.Width, s.Info.Height, at, guess)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", fault.ErrBug, err)
		}
		if !ok || math.Hypot(next[0]-expect[j][0], next[1]-expect[j][1]) > bridgeOff {
			break
		}
		at = next
		p := at
		out[j] = &p
	}
	return out, nil
}

// lkStep follows one point from one plane to the next, forward and back.
func lkStep(from, to []uint8, w, h int, p, guess geom.Point) (geom.Point, bool, error) {
	margin := 3*bridgeWindow + int(math.Hypot(guess[0]-p[0], guess[1]-p[1]))
	x0, x1 := int(math.Min(p[0], guess[0]))-margin, int(math.Max(p[0], guess[0]))+margin
	y0, y1 := int(math.Min(p[1], guess[1]))-margin, int(math.Max(p[1], guess[1]))+margin
	r := image.Rect(max(0, x0), max(0, y0), min(w, x1), min(h, y1))
	if r.Dx() < 4*bridgeWindow || r.Dy() < 4*bridgeWindow {
		return p, false, nil
	}
	a, err := cut(from, w, h, r)
	if err != nil {
		return p, false, err
	}
	defer a.Close()
	b, err := cut(to, w, h, r)
	if err != nil {
		return p, false, err
	}
	defer b.Close()
	point := func(q geom.Point) gocv.Mat {
		m := gocv.NewMatWithSize(1, 1, gocv.MatTypeCV32FC2)
		m.SetFloatAt(0, 0, float32(q[0]-float64(r.Min.X)))
		m.SetFloatAt(0, 1, float32(q[1]-float64(r.Min.Y)))
		return m
	}
	start, next, home := point(p), point(guess), point(p)
	defer start.Close()
	defer next.Close()
	defer home.Close()
	status, errs := gocv.NewMat(), gocv.NewMat()
	defer status.Close()
	defer errs.Close()
	win := image.Pt(2*bridgeWindow+1, 2*bridgeWindow+1)
	follow := func(a, b gocv.Mat, pa, pb gocv.Mat) bool {
		gocv.CalcOpticalFlowPyrLKWithParams(a, b, pa, pb, &status, &errs, win, 2, flowCriteria, useInitialFlow, 1e-3)
		return !status.Empty() && status.GetUCharAt(0, 0) != 0
	}
	if !follow(a, b, start, next) || !follow(b, a, next, home) {
		return p, false, nil
	}
	hx, hy := float64(home.GetFloatAt(0, 0)-start.GetFloatAt(0, 0)), float64(home.GetFloatAt(0, 1)-start.GetFloatAt(0, 1))
	q := geom.Point{float64(next.GetFloatAt(0, 0)) + float64(r.Min.X), float64(next.GetFloatAt(0, 1)) + float64(r.Min.Y)}
	return q, math.Hypot(hx, hy) <= bridgeBack, nil
}

// cut copies a rectangle of a plane.
func cut(pix []uint8, w, h int, r image.Rectangle) (gocv.Mat, error) {
	whole, err := gocv.NewMatFromBytes(h, w, gocv.MatTypeCV8U, pix)
	if err != nil {
		return gocv.Mat{}, err
	}
	defer whole.Close()
	part := whole.Region(r)
	defer part.Close()
	return part.Clone(), nil
}

const useInitialFlow = 4 // OPTFLOW_USE_INITIAL_FLOW

// flowCriteria is made once: each one made leaks a few bytes.
var flowCriteria = gocv.NewTermCriteria(gocv.Count+gocv.EPS, 30, 0.01)
