package follow

import (
	"cmp"
	"context"
	"fmt"
	"image"
	"math"
	"slices"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/fault"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/progress"

	"gocv.io/x/gocv"
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

// Bridge is the barrel's path carried over short gaps by flow.
func Bridge(ctx context.Context, clip footage.Footage, barrel []metrics.Sample, swings []metrics.Span, report progress.Report) ([]metrics.Sample, error) {
	list := gaps(barrel, swings)
	out := slices.Clone(barrel)
	for i, gp := range list {
		frames, err := lumas(ctx, clip, gp.from.Frame, gp.to.Frame)
		if err != nil {
			return nil, err
		}
		more, err := carry(clip, barrel, gp, frames)
		if err != nil {
			return nil, err
		}
		out = append(out, more...)
		report.At("bridge", i+1, len(list))
	}
	slices.SortStableFunc(out, func(a, b metrics.Sample) int { return cmp.Compare(a.Frame, b.Frame) })
	return out, nil
}

// lumas decodes the luma planes of a range of frames, both ends included.
func lumas(ctx context.Context, clip footage.Footage, from, to int) ([][]uint8, error) {
	out := make([][]uint8, to-from+1)
	for f, err := range clip.Again(ctx, from, to) {
		if err != nil {
			return nil, err
		}
		if k := f.Index - from; k >= 0 && k < len(out) {
			out[k] = slices.Clone(f.Y)
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
func carry(clip footage.Footage, barrel []metrics.Sample, gp gap, frames [][]uint8) ([]metrics.Sample, error) {
	n := len(frames)
	expect := expected(clip, barrel, gp, n)
	forth, err := chain(clip, frames, expect, 1)
	if err != nil {
		return nil, err
	}
	back, err := chain(clip, frames, expect, -1)
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
		x, y := clip.Moves[f].Apply((1-w)*a[0]+w*b[0], (1-w)*a[1]+w*b[1])
		steps := math.Min(float64(k), float64(n-1-k))
		sd := bridgeSD + bridgeStepSD*steps + math.Hypot(a[0]-b[0], a[1]-b[1])/2
		out = append(out, metrics.Sample{
			Frame: f, TimeS: clip.TimesS[f], XPx: x, YPx: y, VarXX: sd * sd, VarYY: sd * sd, How: metrics.Flow,
		})
	}
	return out, nil
}

// expected is the path through the gap, px of each frame as filmed, as a cubic
// with the speeds of the samples on either side.
func expected(clip footage.Footage, barrel []metrics.Sample, gp gap, n int) []geom.Point {
	speed := func(frame int, side int) geom.Point {
		var p, q *metrics.Sample
		for i := range barrel {
			x := &barrel[i]
			if side < 0 && x.Frame <= frame && x.Frame >= frame-bridgeEnds {
				if p == nil {
					p = x
				}
				q = x
			}
			if side > 0 && x.Frame >= frame && x.Frame <= frame+bridgeEnds {
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
		u := (clip.TimesS[f] - a.TimeS) / span
		h00, h10 := (1+2*u)*(1-u)*(1-u), u*(1-u)*(1-u)
		h01, h11 := u*u*(3-2*u), u*u*(u-1)
		x := h00*a.XPx + h10*span*va[0] + h01*b.XPx + h11*span*vb[0]
		y := h00*a.YPx + h10*span*va[1] + h01*b.YPx + h11*span*vb[1]
		out[k][0], out[k][1] = clip.Moves[f].Inverse().Apply(x, y)
	}
	return out
}

// chain steps the point from one end of the gap to the other; nil where it was
// lost.
func chain(clip footage.Footage, frames [][]uint8, expect []geom.Point, step int) ([]*geom.Point, error) {
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
		next, ok, err := lkStep(frames[j-step], frames[j], clip.Info.Width, clip.Info.Height, at, guess)
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
