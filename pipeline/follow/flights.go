package follow

import (
	"math"
	"sort"

	"ashline/metrics"
	"ashline/pipeline/track"
)

// Flights finds one flight to the hitter for each swing, and what became of it. tell
// is told how many frames' worth is done; it may be nil.
func Flights(s Sightings, c metrics.Card, r Ruler, barrel []metrics.Sample, swings []metrics.Span, tell func(frames int)) []metrics.BallFlight {
	b := newBalls(s, c, r, barrel)
	var in []track.Flight
	if c.Kind != "tee" && c.Kind != "dry" {
		in = b.notTheBat(track.Flights(b.blobs, s.TimesS, b.pitches()))
	}
	speeds := sampleSpeeds(barrel)
	var out []metrics.BallFlight
	for k, sw := range swings {
		if tell != nil {
			tell(len(s.TimesS) * k / len(swings))
		}
		out = append(out, b.of(in, peakTime(barrel, speeds, sw)))
	}
	return out
}

// FitFlight is the parabola that explains samples of a ball best.
func FitFlight(samples []metrics.Sample, r Ruler) track.Parabola {
	var t, x, y []float64
	for _, s := range samples {
		t, x, y = append(t, s.TimeS), append(x, s.XPx), append(y, s.YPx)
	}
	ppm := r.PxPerM()
	return track.FitParabola(t, x, y, ballSD, gravity*ppm, ballExtra*ppm)
}

// balls is what flights are looked for in.
type balls struct {
	s        Sightings
	ruler    Ruler
	tee      bool
	ppm      float64
	radiusPx float64
	barrel   []metrics.Sample
	blobs    [][]track.Blob // by frame: those that may be a ball, px of the steadied picture
}

func newBalls(s Sightings, c metrics.Card, r Ruler, barrel []metrics.Sample) balls {
	ppm := r.PxPerM()
	b := balls{s: s, ruler: r, tee: c.Kind == "tee", ppm: ppm, radiusPx: c.BallRadiusM() * ppm, barrel: barrel, blobs: make([][]track.Blob, len(s.Blobs))}
	disc := math.Pi * b.radiusPx * b.radiusPx
	for f := range s.Blobs {
		for _, one := range s.Blobs[f] {
			if r.Known() && (one.Mass < ballLeast*disc || one.Mass > ballMost*disc) {
				continue
			}
			one.X, one.Y = s.Moves[f].Apply(one.X, one.Y)
			b.blobs[f] = append(b.blobs[f], one)
		}
	}
	return b
}

// pitches bounds flights to the hitter.
func (b balls) pitches() track.FlightSearch {
	return track.FlightSearch{
		MinSpeed: ballMinMPS * b.ppm, MaxSpeed: ballMaxMPS * b.ppm, Gravity: gravity * b.ppm, ExtraAcc: ballExtra * b.ppm,
		SDPx: ballSD, MaxMiss: ballMissing, MinPoints: ballPoints, Toward: -int(b.ruler.View.Sign),
	}
}

// hits bounds flights away from the bat, which leave in any direction or, with toward,
// in one.
func (b balls) hits(leastMPS float64, toward int) track.FlightSearch {
	fs := b.pitches()
	fs.Toward, fs.MinPoints, fs.MinSpeed, fs.MaxSpeed, fs.MaxMiss = toward, outPoints, leastMPS*b.ppm, hitMaxMPS*b.ppm, outMissing
	return fs
}

// of is the ball of a swing that peaks at a time, with the pitches of the clip.
func (b balls) of(pitches []track.Flight, peakS float64) metrics.BallFlight {
	var out metrics.BallFlight
	if in, ok := b.before(pitches, peakS); ok {
		shutter := shutterOf(in, b.s, b.radiusPx, !b.ruler.Known())
		out.In = ballSamples(refine(in, b.s, b.radiusPx, shutter, !b.ruler.Known()), b.s.TimesS)
		if hit, ok := b.after(in); ok {
			out.Out = ballSamples(refine(hit, b.s, b.radiusPx, shutter, true), b.s.TimesS)
		}
	}
	if b.tee {
		if hit, ok := b.offTee(peakS); ok {
			out.Out = ballSamples(refine(hit, b.s, b.radiusPx, shutterOf(hit, b.s, b.radiusPx, true), true), b.s.TimesS)
		}
	}
	return out
}

// before chooses the pitch of a swing: one that is under way before the swing peaks
// and ends near it, or goes on past a miss. Of several, the one that came farthest:
// what moves with a hitter's body may be followed for long, but not for far. One that
// begins at the barrel is a ball that was hit or tipped. Where there is none, one that
// comes later.
func (b balls) before(pitches []track.Flight, peakS float64) (track.Flight, bool) {
	may := func(fl track.Flight, afterS float64) bool {
		first, last := b.s.TimesS[fl.Frames[0]], b.s.TimesS[fl.Frames[len(fl.Frames)-1]]
		return last >= peakS-pitchBeforeS && first <= peakS+afterS && fl.RMS <= pitchRMS && !b.leaves(fl)
	}
	if fl, ok := farthest(pitches, ballTravelM*b.ppm, func(fl track.Flight) bool { return may(fl, pitchAfterS) }); ok {
		return fl, true
	}
	return farthest(pitches, ballTravelM*b.ppm, func(fl track.Flight) bool { return may(fl, pitchLateS) && falls(fl) })
}

// falls reports that a flight goes down all the way, as a ball does not that came up from
// the ground.
func falls(fl track.Flight) bool {
	y := fl.Blobs[0].Y
	for _, one := range fl.Blobs[1:] {
		if one.Y < y-ballSD {
			return false
		}
		y = one.Y
	}
	return true
}

// leaves reports that a flight begins where the barrel is.
func (b balls) leaves(fl track.Flight) bool {
	bat, ok := near(b.barrel, b.s.TimesS[fl.Frames[0]])
	return ok && math.Hypot(fl.Blobs[0].X-bat.XPx, fl.Blobs[0].Y-bat.YPx) <= leaveReachM*b.ppm
}

// after looks for the ball's flight away from its turn.
func (b balls) after(in track.Flight) (track.Flight, bool) {
	last := in.Frames[len(in.Frames)-1]
	from, to := last+1, last+1
	for to < len(b.s.TimesS) && b.s.TimesS[to]-b.s.TimesS[last] < outForS {
		to++
	}
	if to-from < outPoints {
		return track.Flight{}, false
	}
	found := b.between(from, to, b.hits(hitMinMPS, 0))
	return farthest(found, outTravelM*b.ppm, func(fl track.Flight) bool { return b.turned(in, fl) })
}

// offTee looks for a ball that leaves towards the pitcher from where the barrel
// is.
func (b balls) offTee(peakS float64) (track.Flight, bool) {
	t := b.s.TimesS
	found := b.between(sort.SearchFloat64s(t, peakS-teeBeforeS), sort.SearchFloat64s(t, peakS+outForS), b.hits(teeMinMPS, int(b.ruler.View.Sign)))
	return farthest(found, outTravelM*b.ppm, func(fl track.Flight) bool {
		bat, ok := near(b.barrel, t[fl.Frames[0]])
		return ok && math.Hypot(fl.Blobs[0].X-bat.XPx, fl.Blobs[0].Y-bat.YPx) <= teeReachM*b.ppm
	})
}

// between are the flights in a half-open range of frames, but for the bat's own.
func (b balls) between(from, to int, fs track.FlightSearch) []track.Flight {
	out := track.Flights(b.blobs[from:to], b.s.TimesS[from:to], fs)
	for _, fl := range out {
		for i := range fl.Frames {
			fl.Frames[i] += from
		}
	}
	return b.notTheBat(out)
}

// farthest is the one of the flights that may be which went farther than all others
// and than a distance, px.
func farthest(fls []track.Flight, leastPx float64, may func(track.Flight) bool) (best track.Flight, found bool) {
	for _, fl := range fls {
		if m := travel(fl); m > leastPx && may(fl) {
			best, leastPx, found = fl, m, true
		}
	}
	return best, found
}

// travel is how far a flight went, px.
func travel(fl track.Flight) float64 {
	a, b := fl.Blobs[0], fl.Blobs[len(fl.Blobs)-1]
	return math.Hypot(b.X-a.X, b.Y-a.Y)
}

// turned reports that two flights meet in a turn: they come close at some time between
// the last sighting of one and the first of the other, and do not go on in the same
// direction.
func (b balls) turned(in, out track.Flight) bool {
	if in.Fit.X[1]*out.Fit.X[1]+in.Fit.Y[1]*out.Fit.Y[1] > turnCosine*in.Fit.Speed()*out.Fit.Speed() {
		return false
	}
	last, first := b.s.TimesS[in.Frames[len(in.Frames)-1]], b.s.TimesS[out.Frames[0]]
	if first-last > turnReachS {
		return false
	}
	closest := math.Inf(1)
	for k := range turnSteps + 1 {
		t := last + (first-last)*float64(k)/turnSteps
		x, y := in.Fit.At(t)
		u, v := out.Fit.At(t)
		closest = math.Min(closest, math.Hypot(x-u, y-v))
	}
	return closest <= turnReachM*b.ppm
}

// notTheBat drops flights that stay beside the barrel's path.
func (b balls) notTheBat(fls []track.Flight) []track.Flight {
	var out []track.Flight
	for _, fl := range fls {
		sum, n := 0.0, 0
		for k, f := range fl.Frames {
			if bat, ok := near(b.barrel, b.s.TimesS[f]); ok {
				sum += math.Min(overlapMostM*b.ppm, math.Hypot(fl.Blobs[k].X-bat.XPx, fl.Blobs[k].Y-bat.YPx))
				n++
			}
		}
		if n == 0 || n < len(fl.Frames)/2 || sum/float64(n) > overlapM*b.ppm {
			out = append(out, fl)
		}
	}
	return out
}
