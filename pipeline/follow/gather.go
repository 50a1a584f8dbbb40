package follow

import (
	"fmt"
	"math"
	"sort"

	"ashline/metrics"
	"ashline/metrics/bat"
	"ashline/metrics/geom"
	"ashline/pipeline/fault"
	"ashline/pipeline/mark"
	"ashline/pipeline/progress"
	"ashline/pipeline/track"
)

// Gathered is what one path a mark and one flight a ball come to, with what the
// search refused.
type Gathered struct {
	Track      metrics.Track
	View       geom.View
	Scale      metrics.ScaleUse
	Candidates map[string][][]mark.Candidate
	Chosen     map[string][]int
	steps      *progress.Steps
	foreshort  bool // what was taken for the hands' mark is another thing
}

// Bounds of what moves in a cage, in metres and seconds.
const (
	barrelMaxMPS = 55.0  // 1.5 × the fastest published adult bat
	barrelAccel  = 780.0 // m/s²: 26 m/s on 0.9 m; three and a half times it is allowed
	impactFPS    = 300.0 // above this rate an impact alone is a larger acceleration
	handsMaxMPS  = 16.0
	handsAccel   = 250.0
	jointMaxMPS  = 12.0
	jointAccel   = 200.0
	gapS         = 0.10
	hueShareMax  = 0.05 // of the picture: more of the hue than this and a band cannot be told
)

// linkStep is how many frames a step of the search for paths holds.
const linkStep = 100

// Gather finds the paths. Its steps are the frames in which a mark is looked for, once
// for each mark and once more for the barrel, twice the frames to link it, and as many
// as the clip has for the balls.
func Gather(s *Sightings, c metrics.Card, report progress.Report) (*Gathered, error) {
	g := &Gathered{Candidates: map[string][][]mark.Candidate{}, Chosen: map[string][]int{}}
	g.steps = &progress.Steps{Report: report, Stage: "follow", Total: (3*len(s.Names) + 4) * len(s.TimesS), Every: linkStep}
	g.View, g.Scale = metrics.NewView(c, s.Info.Width, s.Info.Height)
	ppm := g.pxPerM()
	g.Track = metrics.Track{
		WidthPx: s.Info.Width, HeightPx: s.Info.Height, TimesS: s.TimesS,
		Joints: map[string][]metrics.Sample{},
	}
	if s.Scan.SeenFrames(0) == 0 {
		return nil, fmt.Errorf("%w: no pixel has the hue of marks.barrel.colour %q", fault.ErrNoMark, c.Marks.Barrel.Colour)
	}
	if err := g.paths(s, c, ppm); err != nil {
		return nil, err
	}
	if len(g.Track.Barrel) < 8 {
		if share := s.Scan.Share(0); share > hueShareMax {
			return g, fmt.Errorf("%w: marks.barrel.colour covers %.0f %% of a frame", fault.ErrHue, 100*share)
		}
		return g, fmt.Errorf("%w: marks.barrel.colour %q leads to no path of a bat (%d frames have the hue)", fault.ErrNoMark, c.Marks.Barrel.Colour, s.Scan.SeenFrames(0))
	}
	g.Track.Swings = swings(g.Track, ppm)
	if len(g.Track.Swings) == 0 {
		if share := s.Scan.Share(0); share > hueShareMax {
			return g, fmt.Errorf("%w: marks.barrel.colour covers %.0f %% of a frame", fault.ErrHue, 100*share)
		}
		return g, fmt.Errorf("%w: the barrel never exceeds %g m/s", fault.ErrNoSwing, minSwingMPS)
	}
	g.Track.HueShare = g.hueShare(ppm)
	g.balls(s, c, ppm)
	g.steps.Reach(g.steps.Total)
	g.rowTimes(c)
	return g, nil
}

// pxPerM is the picture's scale in its middle.
func (g *Gathered) pxPerM() float64 {
	return 1 / g.View.MetresPerPixel(geom.Point{g.View.CX, g.View.CY})
}

// paths links every mark's candidates.
func (g *Gathered) paths(s *Sightings, c metrics.Card, ppm float64) error {
	// The barrel first, by its speed alone; then the hands, which are on a rod of
	// known length from it, and the joints; then the barrel once more, held by the
	// hands and by the colour that it was found to have.
	order := []int{0}
	for i, n := range s.Names {
		if n != "barrel" {
			order = append(order, i)
		}
	}
	order = append(order, 0)
	for k, i := range order {
		if err := g.follow(s, c, i, ppm, 3*k*len(s.TimesS)); err != nil {
			return err
		}
	}
	return nil
}

// hueShare is the share of the hue's pixels that the barrel's path holds while it
// is fast.
func (g *Gathered) hueShare(ppm float64) float64 {
	fast := g.fastFrames(g.Chosen["barrel"], ppm)
	var v []float64
	for f, k := range g.Chosen["barrel"] {
		if k < 0 || !fast[f] {
			continue
		}
		all := 0.0
		for _, c := range g.Candidates["barrel"][f] {
			all += c.Mass
		}
		v = append(v, g.Candidates["barrel"][f][k].Mass/all)
	}
	return middle(v)
}

// rowTimes moves each sample's time by its row where the card tells how long the
// sensor takes from its top row to its bottom row; the frame's time is that of
// the top row.
func (g *Gathered) rowTimes(c metrics.Card) {
	if c.Camera.ReadoutMS == 0 {
		return
	}
	move := func(s []metrics.Sample) {
		for i := range s {
			s[i].TimeS += c.Camera.ReadoutMS / 1000 * s[i].YPx / float64(g.Track.HeightPx-1)
		}
	}
	move(g.Track.Barrel)
	move(g.Track.Hands)
	for _, j := range g.Track.Joints {
		move(j)
	}
	for i := range g.Track.Balls {
		move(g.Track.Balls[i].In)
		move(g.Track.Balls[i].Out)
	}
}

// patches are one mark's candidates, px of the steadied picture.
func (g *Gathered) patches(s *Sightings, model int, ppm float64, tell func(frames int)) ([][]mark.Candidate, error) {
	shifts := make([][2]float64, len(s.Moves))
	for i, m := range s.Moves {
		x, y := m.Inverse().Apply(g.View.CX, g.View.CY)
		shifts[i] = [2]float64{x - g.View.CX, y - g.View.CY}
	}
	cands, err := s.Scan.Candidates(model, s.Site, shifts, tell)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", fault.ErrBug, err)
	}
	if g.Scale.Source != "guess" {
		limit(cands, largest*0.066*0.05*ppm*ppm)
	}
	for f := range cands {
		for k := range cands[f] {
			cands[f][k].X, cands[f][k].Y = s.Moves[f].Apply(cands[f][k].X, cands[f][k].Y)
		}
	}
	return cands, nil
}

// follow links one mark's candidates to a path; base steps were done before.
func (g *Gathered) follow(s *Sightings, c metrics.Card, model int, ppm float64, base int) error {
	name := s.Names[model]
	cands, ok := g.Candidates[name]
	if !ok {
		var err error
		if cands, err = g.patches(s, model, ppm, g.steps.From(base)); err != nil {
			return err
		}
	}
	ph := track.Physics{MaxSpeed: jointMaxMPS * ppm, Accel: jointAccel * ppm, FastSpeed: 2 * ppm, FastBonus: 0.2}
	switch name {
	case "barrel":
		ph = track.Physics{MaxSpeed: barrelMaxMPS * ppm, Accel: barrelAccel * math.Max(1, s.FPS/impactFPS) * ppm, FullSpeed: 22 * ppm, FastSpeed: 12 * ppm, FastBonus: 1}
	case "hands":
		ph = track.Physics{MaxSpeed: handsMaxMPS * ppm, Accel: handsAccel * ppm, FastSpeed: 3 * ppm, FastBonus: 0.4}
	}
	ph.MaxGapS, ph.GapPrice = gapS, 40
	// From the path so far: how full the mark's colour is where it is fullest.
	full, usual := 1.0, 0.0
	if before := g.Chosen[name]; before != nil {
		full = fullness(cands, before)
		usual = g.usualMass(cands, before, ppm)
	}
	linked := g.steps.From(base + len(cands))
	nodes := make([][]track.Node, len(cands))
	for f := range cands {
		for _, k := range cands[f] {
			worth := g.worth(name, k, f, c, ppm)
			if usual > 0 && k.Mass > largeShare*usual {
				worth -= largePrice
			}
			nodes[f] = append(nodes[f], track.Node{
				X: k.X, Y: k.Y, Mass: k.Mass, SXX: k.Sxx, SXY: k.Sxy, SYY: k.Syy, SDPx: candidateSD(k), Worth: worth,
				Pale: palePrice * math.Max(0, paleShare-k.Mean/full),
			})
		}
	}
	g.Candidates[name] = cands
	var chosen []int
	if name == "barrel" {
		chosen = g.barrelPath(nodes, ph, ppm, linked)
	} else {
		chosen = track.Link(nodes, s.TimesS, ph, linked)
	}
	g.Chosen[name] = chosen
	samples := samplesOf(cands, chosen, s.TimesS)
	switch name {
	case "barrel":
		g.Track.Barrel = samples
	case "hands":
		g.foreshort = g.Scale.Source != "guess" && g.neverApart(samples, c, ppm)
		if g.foreshort || g.Scale.Source != "guess" && !g.onRod(samples, c, ppm) {
			samples = nil
			for f := range chosen {
				chosen[f] = -1
			}
		}
		g.Track.Hands = samples
	default:
		g.Track.Joints[name] = samples
	}
	return nil
}

const (
	fastMPS  = 6.0
	fastRun  = 5 // steps in a row
	fastSkip = 1 // frames without a candidate that a step may have
	// A band is not much larger at rest than in the swing, where blur spreads it.
	largeShare = 2.5
	largePrice = 1.5
)

// fastFrames are the frames in which a path of the barrel is fast from frame to
// frame for a while: a jump from one thing to another is no speed.
func (g *Gathered) fastFrames(chosen []int, ppm float64) map[int]bool {
	fast := map[int]bool{}
	var run []int
	for f, k := range chosen {
		if k < 0 {
			continue
		}
		if n := len(run); n > 0 {
			b := g.Candidates["barrel"]
			p, q := b[run[n-1]][chosen[run[n-1]]], b[f][k]
			dt := g.Track.TimesS[f] - g.Track.TimesS[run[n-1]]
			if f-run[n-1] > fastSkip+1 || math.Hypot(q.X-p.X, q.Y-p.Y) < fastMPS*ppm*dt {
				run = run[:0]
			}
		}
		run = append(run, f)
		if len(run) > fastRun {
			for _, i := range run {
				fast[i] = true
			}
		}
	}
	return fast
}

// usualMass is the 90th percentile of the area along the fast part of a path; 0
// when there is none.
func (g *Gathered) usualMass(cands [][]mark.Candidate, chosen []int, ppm float64) float64 {
	fast := g.fastFrames(g.Chosen["barrel"], ppm)
	var v []float64
	for f, k := range chosen {
		if k >= 0 && fast[f] {
			v = append(v, cands[f][k].Mass)
		}
	}
	if len(v) < 8 {
		return 0
	}
	sort.Float64s(v)
	return v[len(v)*9/10]
}

// Prices of a patch paler than the mark.
const (
	palePrice = 4.0
	paleShare = 0.7
)

// fullness is the 90th percentile of the coverage along a path.
func fullness(cands [][]mark.Candidate, chosen []int) float64 {
	var v []float64
	for f, k := range chosen {
		if k >= 0 {
			v = append(v, cands[f][k].Mean)
		}
	}
	if len(v) == 0 {
		return 1
	}
	sort.Float64s(v)
	return math.Max(0.2, v[len(v)*9/10])
}

// largest is how many times a band's silhouette a patch may be, perMark how many
// patches a frame are searched.
const (
	largest = 12.0
	perMark = 12
)

// limit drops patches that are far too large for a band and keeps the heaviest
// of the rest.
func limit(cands [][]mark.Candidate, mass float64) {
	for f, cs := range cands {
		out := cs[:0]
		for _, k := range cs {
			if k.Mass <= mass && len(out) < perMark {
				out = append(out, k)
			}
		}
		cands[f] = out
	}
}

// How far apart the marks of one bat may look, in units of their distance in the
// plane of the pitch, and how often they must be seen so.
const (
	rodShare = 1.3
	rodLeast = 8
	// A swing turns the bat through the plane of the picture, where its marks are
	// that distance apart; perspective makes it 0.8 to 1.05 of it on rendered swings.
	apartShare = 0.65
	apartLeast = 20 // frames, for an answer
)

// rodPx is the most that the marks of the bat may be apart in the picture, px.
func rodPx(c metrics.Card, ppm float64) float64 {
	if c.Bat.MarksApartM > 0 {
		return rodShare * c.Bat.MarksApartM * ppm
	}
	return rodShare * ppm
}

// onRod reports whether a path of the hands is within the bat's length of the
// barrel more than now and then: where the hands' band is out of sight, specks of
// its hue make a path too.
func (g *Gathered) onRod(hands []metrics.Sample, c metrics.Card, ppm float64) bool {
	n := 0
	for _, h := range hands {
		if b, ok := near(g.Track.Barrel, h.TimeS); ok && math.Hypot(b.XPx-h.XPx, b.YPx-h.YPx) <= rodPx(c, ppm) {
			n++
		}
	}
	return n >= rodLeast
}

// neverApart reports whether a path of the hands is never, but for a few frames,
// nearly as far from the barrel as the bat's marks are from each other: then it is
// of something else on the bat or beside it, the wood or a sleeve.
func (g *Gathered) neverApart(hands []metrics.Sample, c metrics.Card, ppm float64) bool {
	var apart []float64
	for _, h := range hands {
		if b, ok := near(g.Track.Barrel, h.TimeS); ok {
			apart = append(apart, math.Hypot(b.XPx-h.XPx, b.YPx-h.YPx))
		}
	}
	if c.Bat.MarksApartM == 0 || len(apart) < apartLeast {
		return false
	}
	sort.Float64s(apart)
	return apart[len(apart)*95/100] < apartShare*c.Bat.MarksApartM*ppm
}

// Notes says what of the marks had to be left out.
func (g *Gathered) Notes() []string {
	if !g.foreshort {
		return nil
	}
	return []string{"what has the hue of the hands' mark is never as far from the barrel as bat.marks_apart_m says: it is left out (wood, skin or a sleeve of that hue, or a wrong distance)"}
}

// worth says what a candidate is worth on its own.
func (g *Gathered) worth(name string, k mark.Candidate, frame int, c metrics.Card, ppm float64) float64 {
	w := 1 - 3*k.Still
	across, width := 0.066*ppm, 0.05*ppm
	if name != "barrel" {
		across = 0.05 * ppm
	}
	// A band is never larger than its silhouette drawn out by the longest blur
	// that still lets it be seen, and is seen at a tenth of it when end-on.
	expected := across * width
	switch {
	case k.Mass > 8*expected:
		w -= 2
	case k.Mass < 0.06*expected:
		w -= 0.6
	}
	other := g.Track.Hands
	if name == "hands" {
		other = g.Track.Barrel
	}
	if name == "barrel" || name == "hands" {
		if h, ok := near(other, g.Track.TimesS[frame]); ok {
			reach := 1.0 * ppm
			if c.Bat.MarksApartM > 0 {
				reach = 1.2 * c.Bat.MarksApartM * ppm
			}
			d := math.Hypot(k.X-h.XPx, k.Y-h.YPx)
			if d > reach {
				w -= 2 * math.Min(1, (d-reach)/(0.3*reach))
			}
			// The barrel's place is the surer of the two: what is farther from it than
			// the bat is long, even nearer the camera, is not the hands.
			if name == "hands" && g.Scale.Source != "guess" && d > rodPx(c, ppm) {
				w -= otherPrice
			}
		}
	}
	return w
}

// near interpolates samples, which are in order of time, at t when both neighbours are
// within 30 ms.
func near(s []metrics.Sample, t float64) (metrics.Sample, bool) {
	i := sort.Search(len(s), func(i int) bool { return s[i].TimeS >= t })
	// At a sample's own time either neighbour will do.
	for _, i := range []int{i, i + 1} {
		if i < 1 || i >= len(s) {
			continue
		}
		a, b := s[i-1], s[i]
		if a.TimeS <= t && t <= b.TimeS && b.TimeS-a.TimeS < 0.03 {
			k := (t - a.TimeS) / (b.TimeS - a.TimeS)
			a.XPx += k * (b.XPx - a.XPx)
			a.YPx += k * (b.YPx - a.YPx)
			return a, true
		}
	}
	return metrics.Sample{}, false
}

// Errors of a patch's centroid each way, px, from still and moving bands of known
// place in clips of two renderers: coding and the guess of what lies behind leave
// this much, more where only colour was to be had, which follows the light.
const (
	coveredSD = 0.40
	colourSD  = 0.60
)

// candidateSD is the error of a patch's centroid, with a share of its blur.
func candidateSD(k mark.Candidate) float64 {
	along, across, _ := k.Axes()
	sd := colourSD
	if k.Covered {
		sd = coveredSD
	}
	sd += 0.02*along + 0.15*math.Max(0, 1-k.Mass/30)
	if k.Edge {
		sd += across + along
	}
	return sd
}

// samplesOf turns chosen candidates into samples. A patch much smaller than its
// neighbours is partly hidden: its centroid may be off by up to its radius.
func samplesOf(cands [][]mark.Candidate, chosen []int, timesS []float64) []metrics.Sample {
	var out []metrics.Sample
	for f, k := range chosen {
		if k < 0 {
			continue
		}
		c := cands[f][k]
		sd := candidateSD(c)
		along, across, _ := c.Axes()
		if m := medianMass(cands, chosen, f, 6); m > 0 && c.Mass < 0.7*m {
			sd += (0.7 - c.Mass/m) * (along + across)
		}
		if c.Still > splitShare {
			sd += c.Still * (along + across)
		}
		out = append(out, metrics.Sample{
			Frame: f, TimeS: timesS[f], XPx: c.X, YPx: c.Y, VarXX: sd * sd, VarYY: sd * sd,
			How: metrics.Seen, StreakPx: along * math.Sqrt(12), SizePx: across * math.Sqrt(12),
			Shape: bat.Shape{Mass: c.Colour, SXX: c.CXX, SXY: c.CXY, SYY: c.CYY, Third: c.Third, Skewed: c.Covered, LitX: c.LitX, LitY: c.LitY},
		})
	}
	return out
}

// splitShare is the share of still pixels from which a patch is suspect.
const splitShare = 0.08

func medianMass(cands [][]mark.Candidate, chosen []int, f, reach int) float64 {
	var m []float64
	for i := max(0, f-reach); i < min(len(chosen), f+reach+1); i++ {
		if chosen[i] >= 0 {
			m = append(m, cands[i][chosen[i]].Mass)
		}
	}
	return middle(m)
}
