package track

import (
	"math"
	"sort"
)

// Blob is one moving patch of one frame that might be the ball.
type Blob struct {
	X, Y  float64 // px, centre at mid-exposure
	Along float64 // half-length along the streak (r.m.s.), px
	Cross float64 // half-width across it (r.m.s.), px
	DirX  float64 // unit direction of the streak
	DirY  float64
	Mass  float64 // px
	Peak  float64 // contrast, 8-bit steps
	// Crop is what the frame and its background show there; nil when the blob is
	// too large or too faint to be measured more closely.
	Crop *Crop
	// Fitted says that the centre is that of a disc fitted to the crop, with these
	// variances (px²), and StreakPx how far it moved during the exposure.
	Fitted              bool
	VarXX, VarXY, VarYY float64
	StreakPx            float64
}

// Crop is a rectangle of luma with the background behind it.
type Crop struct {
	X0, Y0, W, H int // px
	Now, Back    []uint8
	// Known says where the background is known, because the frames before and
	// after agree.
	Known []bool
}

// FlightSearch bounds what a ball may do.
type FlightSearch struct {
	MinSpeed, MaxSpeed float64 // px/s
	// Gravity, px/s² down the picture, and the s.d. of what lift and
	// perspective add to it in either axis.
	Gravity   float64
	ExtraAcc  float64
	SDPx      float64 // s.d. of a blob's centre
	MaxMiss   int     // frames in a row without a blob inside a flight
	MinPoints int
	// Toward is the sign of x velocity wanted: −1, +1, or 0 for either.
	Toward int
	// Cross is the expected r.m.s. half-width of the ball, px; 0 unknown.
	Cross float64
}

// Flight is a run of blobs that one ball made.
type Flight struct {
	Frames []int
	Blobs  []Blob
	Fit    Parabola
	// RMS is the residual of the fit, px.
	RMS float64
}

// Flights returns the flights found in the blobs of all frames, the best
// supported first. A blob belongs to one flight at most.
func Flights(frames [][]Blob, times []float64, fs FlightSearch) []Flight {
	used := make([][]bool, len(frames))
	for i := range frames {
		used[i] = make([]bool, len(frames[i]))
	}
	g := grower{frames: frames, times: times, fs: fs, used: used}
	var out []Flight
	for range 64 {
		best := g.best()
		if len(best.frames) < fs.MinPoints {
			break
		}
		out = append(out, g.take(best))
	}
	sort.SliceStable(out, func(i, j int) bool { return len(out[i].Frames) > len(out[j].Frames) })
	return out
}

type grower struct {
	frames [][]Blob
	times  []float64
	fs     FlightSearch
	used   [][]bool
	memo   map[int]chain // best chain per start frame, while still unused
}

// chain is a flight under growth.
type chain struct {
	frames []int
	picks  []int
	rms    float64
}

func (g *grower) best() chain {
	var best chain
	bestScore := 0.0
	if g.memo == nil {
		g.memo = map[int]chain{}
	}
	for i := range g.frames {
		c, ok := g.memo[i]
		if !ok || !g.free(c) {
			c = g.bestFrom(i)
			g.memo[i] = c
		}
		if s := g.score(c); s > bestScore {
			best, bestScore = c, s
		}
	}
	return best
}

func (g *grower) free(c chain) bool {
	for k, f := range c.frames {
		if g.used[f][c.picks[k]] {
			return false
		}
	}
	return true
}

func (g *grower) score(c chain) float64 {
	if len(c.frames) == 0 {
		return 0
	}
	return float64(len(c.frames)) - 2*c.rms/math.Max(g.fs.SDPx, 0.1)*0.1
}

// bestFrom grows a chain from each pair that starts in frame i.
func (g *grower) bestFrom(i int) chain {
	var best chain
	bestScore := 0.0
	for a := range g.frames[i] {
		if g.used[i][a] {
			continue
		}
		for j := i + 1; j <= i+2 && j < len(g.frames); j++ {
			for b := range g.frames[j] {
				if g.used[j][b] || !g.plausible(i, a, j, b) {
					continue
				}
				c := g.grow(i, a, j, b)
				if s := g.score(c); s > bestScore {
					best, bestScore = c, s
				}
			}
		}
	}
	return best
}

// plausible tests speed, direction, likeness and, where the blobs are streaks,
// that the streak points the way the pair moves.
func (g *grower) plausible(i, a, j, b int) bool {
	p, q := g.frames[i][a], g.frames[j][b]
	dt := g.times[j] - g.times[i]
	if dt <= 0 {
		return false
	}
	dx, dy := q.X-p.X, q.Y-p.Y
	dist := math.Hypot(dx, dy)
	if v := dist / dt; v < g.fs.MinSpeed || v > g.fs.MaxSpeed {
		return false
	}
	if g.fs.Toward != 0 && dx*float64(g.fs.Toward) < 0.7*dist {
		return false
	}
	if r := p.Mass / q.Mass; r > 2.5 || r < 0.4 {
		return false
	}
	for _, s := range []Blob{p, q} {
		if s.Along > 1.5*s.Cross && math.Abs(s.DirX*dx+s.DirY*dy) < 0.85*dist {
			return false
		}
	}
	return true
}

// grow extends a pair forwards, each time with the blob nearest to where the
// flight so far would be.
func (g *grower) grow(i, a, j, b int) chain {
	c := chain{frames: []int{i, j}, picks: []int{a, b}}
	missed := 0
	for f := j + 1; f < len(g.frames) && missed <= g.fs.MaxMiss; f++ {
		fit := g.fit(c)
		t := g.times[f]
		px, py := fit.At(t)
		ahead := t - g.times[c.frames[len(c.frames)-1]]
		tol := 3*g.fs.SDPx + 3*fit.SD(t)*g.fs.SDPx + 0.5*g.fs.ExtraAcc*ahead*ahead
		tol = math.Min(tol, 0.5*fit.Speed()*(t-g.times[f-1])+3*g.fs.SDPx)
		pick, pickD := -1, tol
		last := g.frames[c.frames[len(c.frames)-1]][c.picks[len(c.picks)-1]]
		for k, q := range g.frames[f] {
			if g.used[f][k] {
				continue
			}
			if r := q.Mass / last.Mass; r > 3 || r < 0.33 {
				continue
			}
			if d := math.Hypot(q.X-px, q.Y-py); d < pickD {
				pick, pickD = k, d
			}
		}
		if pick < 0 {
			missed++
			continue
		}
		missed = 0
		c.frames = append(c.frames, f)
		c.picks = append(c.picks, pick)
	}
	fit := g.fit(c)
	sum := 0.0
	for k, f := range c.frames {
		q := g.frames[f][c.picks[k]]
		x, y := fit.At(g.times[f])
		sum += (q.X-x)*(q.X-x) + (q.Y-y)*(q.Y-y)
	}
	c.rms = math.Sqrt(sum / float64(2*len(c.frames)))
	return c
}

func (g *grower) fit(c chain) Parabola {
	ts := make([]float64, len(c.frames))
	xs := make([]float64, len(c.frames))
	ys := make([]float64, len(c.frames))
	for k, f := range c.frames {
		q := g.frames[f][c.picks[k]]
		ts[k], xs[k], ys[k] = g.times[f], q.X, q.Y
	}
	return FitParabola(ts, xs, ys, g.fs.SDPx, g.fs.Gravity, g.fs.ExtraAcc)
}

func (g *grower) take(c chain) Flight {
	fl := Flight{Frames: c.frames, Fit: g.fit(c), RMS: c.rms}
	for k, f := range c.frames {
		g.used[f][c.picks[k]] = true
		fl.Blobs = append(fl.Blobs, g.frames[f][c.picks[k]])
	}
	return fl
}
