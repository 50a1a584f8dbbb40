package bench

import (
	"fmt"
	"image"
	"math"

	"ashline/pipeline/scene"
)

// bandShown is the share of the band's near side above which it counts as in
// sight; at or below it, as hidden.
const bandShown = 0.5

// offPx is how far off the barrel's centre is another object: more than 20 px
// and more than the barrel's breadth.
func offPx(t scene.Truth) float64 { return math.Max(20, t.Params.BarrelDiameterM/t.Camera.MPerPx) }

// barrelRadiusPx is half the barrel's breadth at the band's own depth.
func barrelRadiusPx(t scene.Truth, f scene.FrameTruth) float64 {
	c, b := t.Camera, f.Barrel
	depth := (b.X-c.Position.X)*c.Forward.X + (b.Y-c.Position.Y)*c.Forward.Y + (b.Z-c.Position.Z)*c.Forward.Z
	return t.Params.BarrelDiameterM / 2 * c.FocalPx / depth
}

// boxMargin is how much larger than the band a tracker's first box is.
const boxMargin = 1.2

// bandBox is the box around the band: half its width along the bat and the
// barrel's radius to every side. Edges lie between pixels.
func bandBox(t scene.Truth, f scene.FrameTruth) image.Rectangle {
	k := t.Params.BandWidthM / 2 / t.Params.BatLengthM
	r := barrelRadiusPx(t, f)
	hx := boxMargin * (r + k*math.Abs(f.End.XPx-f.Knob.XPx))
	hy := boxMargin * (r + k*math.Abs(f.End.YPx-f.Knob.YPx))
	edge := func(v float64) int { return int(math.Round(v + 0.5)) }
	box := image.Rect(edge(f.Barrel.XPx-hx), edge(f.Barrel.YPx-hy), edge(f.Barrel.XPx+hx), edge(f.Barrel.YPx+hy))
	return box.Intersect(image.Rect(0, 0, t.Params.WidthPx, t.Params.HeightPx))
}

// The span of the comparison, s from contact.
const (
	sideFromS = -0.20
	sideToS   = 0.10
)

// sideSpan gives the frame to start on, the first of the span in which the whole
// band is in sight, and the last frame of the span.
func sideSpan(t scene.Truth) (first, last int, err error) {
	first = -1
	for i, f := range t.Frames {
		if first < 0 && f.TimeS >= sideFromS && f.Barrel.Visible > 0.9 {
			first = i
		}
		if f.TimeS <= sideToS {
			last = i
		}
	}
	if first < 0 || last <= first || t.Frames[first].TimeS > sideFromS/2 {
		return 0, 0, fmt.Errorf("bench: the band is never wholly in sight from %.2f s to %.2f s", sideFromS, sideFromS/2)
	}
	return first, last, nil
}
