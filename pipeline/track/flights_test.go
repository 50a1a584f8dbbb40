package track

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestFlightsFindsTheBallAmongPeople(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(5, 6))
	const fps, ppm = 240.0, 250.0
	n := 60
	frames := make([][]Blob, n)
	times := make([]float64, n)
	want := map[int][2]float64{}
	for i := range n {
		s := float64(i) / fps
		times[i] = s
		for range 12 { // knees, helmets and hands that jump about
			frames[i] = append(frames[i], Blob{X: 600 + rng.NormFloat64()*60, Y: 400 + rng.NormFloat64()*90, Along: 4, Cross: 3, Mass: 20 + 60*rng.Float64(), DirX: 1})
		}
		if i >= 5 && i < 35 && i != 17 {
			u := s - 20/fps
			p := [2]float64{700 - 36*ppm*u, 300 + 2*ppm*u + 0.5*9.81*ppm*u*u}
			want[i] = p
			frames[i] = append(frames[i], Blob{X: p[0] + rng.NormFloat64()*0.3, Y: p[1] + rng.NormFloat64()*0.3, Along: 9, Cross: 5, Mass: 60, DirX: -1})
		}
	}
	got := Flights(frames, times, FlightSearch{
		MinSpeed: 5 * ppm, MaxSpeed: 60 * ppm, Gravity: 9.81 * ppm, ExtraAcc: 40 * ppm, SDPx: 0.5, MaxMiss: 4, MinPoints: 5, Toward: -1,
	})
	if len(got) == 0 {
		t.Fatal("no flight found")
	}
	if len(got[0].Frames) < 28 {
		t.Errorf("%d sightings, want 29", len(got[0].Frames))
	}
	for k, f := range got[0].Frames {
		p, ok := want[f]
		if b := got[0].Blobs[k]; !ok || math.Hypot(b.X-p[0], b.Y-p[1]) > 2 {
			t.Errorf("frame %d: took (%.1f, %.1f), not the ball", f, b.X, b.Y)
		}
	}
}

func TestParabolaIsExactOnItsOwnKind(t *testing.T) {
	t.Parallel()
	var ts, xs, ys []float64
	for i := range 12 {
		u := float64(i) / 240
		ts, xs, ys = append(ts, u), append(xs, 10-3000*u), append(ys, 20+100*u+0.5*2450*u*u)
	}
	p := FitParabola(ts, xs, ys, 0.5, 2450, 4000)
	x, y := p.At(0.1)
	if math.Abs(x-(10-300)) > 0.5 || math.Abs(y-(20+10+12.25)) > 0.5 {
		t.Errorf("at 0.1 s: (%.3f, %.3f)", x, y)
	}
}
