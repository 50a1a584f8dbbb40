package ball

import (
	"math"
	"testing"

	"ashline/pipeline/track"
)

// streak draws a ball of light that moves by (dx, dy) during the exposure over a
// background of bars, by summing many instants of light with the outline softened
// over a pixel, and returns it as luma.
func streak(w, h int, cx, cy, r, dx, dy float64, shade func(u, v float64) float64) *track.Crop {
	const instants = 64
	c := &track.Crop{W: w, H: h, Now: make([]uint8, w*h), Back: make([]uint8, w*h), Known: make([]bool, w*h)}
	for q := range c.Now {
		x, y := float64(q%w), float64(q/w)
		back := 40.0
		if q%w%16 < 8 {
			back = 70
		}
		c.Back[q], c.Known[q] = uint8(back), true
		sum, bg := 0.0, light[uint8(back)]
		for k := range instants {
			s := (float64(k)+0.5)/instants - 0.5
			u, v := x-cx-s*dx, y-cy-s*dy
			a := ramp(r - math.Hypot(u, v))
			sum += bg + a*(shade(u/r, v/r)-bg)
		}
		c.Now[q] = uint8(math.Round(16 + 219*math.Pow(sum/instants/219, 1/2.2)))
	}
	return c
}

func sunny(_, v float64) float64 { return 120 - 60*v }

// The pictures are summed from instants, the model's cover is a closed form: they
// share the outline's ramp and the curve of light and nothing else.
func TestDiscFindsAStreak(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name      string
		dx, dy, r float64
		shade     func(u, v float64) float64
	}{
		{"still", 0, 0, 9, sunny},
		{"short", 9, 1, 9, sunny},
		{"long", 36, 5, 9, sunny},
		{"lit from behind", 30, -4, 9, func(u, v float64) float64 { return 120 + 50*u - 30*v }},
		{"small", 12, 2, 4, sunny},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			const cx, cy = 31.37, 20.81
			crop := streak(64, 42, cx, cy, c.r, c.dx, c.dy, c.shade)
			d := Disc{RadiusPx: c.r, DX: c.dx, DY: c.dy}
			p, ok := d.Fit(crop, [2]float64{cx + 1.5, cy - 1})
			if !ok {
				t.Fatal("not found")
			}
			// An eighth of a pixel: rounding of luma and the outline's ramp.
			if e := math.Hypot(p.X-cx, p.Y-cy); e > 0.12 {
				t.Errorf("centre off by %.3f px", e)
			}
			if c.dx > 5 {
				move := math.Hypot(c.dx, c.dy)
				if got := d.Streak(crop, p, c.dx/move, c.dy/move, 60); math.Abs(got-move) > 0.03*move {
					t.Errorf("streak %.2f px, want %.2f", got, move)
				}
			}
			if got := d.Size(crop, p, 0.7*c.r, 1.4*c.r); math.Abs(got-c.r) > 0.3 {
				t.Errorf("radius %.2f px, want %.2f", got, c.r)
			}
		})
	}
}

// The picture's edge cuts a streak: what is left of it still tells the centre,
// because the model is cut as well.
func TestDiscAtTheEdge(t *testing.T) {
	t.Parallel()
	crop := streak(40, 42, 34, 20, 9, 24, 2, sunny)
	p, ok := Disc{RadiusPx: 9, DX: 24, DY: 2}.Fit(crop, [2]float64{31, 20})
	if !ok || math.Hypot(p.X-34, p.Y-20) > 0.2 {
		t.Errorf("found %v at (%.2f, %.2f), want (34, 20)", ok, p.X, p.Y)
	}
}

// A ball that turns while the shutter is open leaves two arms; no straight streak
// explains them as one does a straight one.
func TestDiscKnowsATurn(t *testing.T) {
	t.Parallel()
	d := Disc{RadiusPx: 9, DX: 30}
	straight := streak(64, 64, 32, 32, 9, 30, 0, sunny)
	a, b := streak(64, 64, 32+7.5, 32, 9, 15, 0, sunny), streak(64, 64, 32+9, 32-12, 9, 18, -24, sunny)
	bent := &track.Crop{W: 64, H: 64, Now: make([]uint8, 64*64), Back: a.Back, Known: a.Known}
	for q := range bent.Now {
		bent.Now[q] = uint8(16 + 219*math.Pow((light[a.Now[q]]+light[b.Now[q]])/2/219, 1/2.2))
	}
	p, ok := d.Fit(straight, [2]float64{32, 32})
	if !ok || p.Left > 0.02 {
		t.Errorf("straight: found %v, %.3f left", ok, p.Left)
	}
	if q, ok := d.Fit(bent, [2]float64{40, 28}); ok && q.VarXX < 20*p.VarXX {
		t.Errorf("bent: variance %.4f px², against %.4f of a straight one", q.VarXX, p.VarXX)
	}
}
