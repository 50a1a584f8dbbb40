package follow

import (
	"math"
	"sort"

	"ashline/metrics"
	"ashline/pipeline/ball"
	"ashline/pipeline/track"
)

// What a ball is, and how it flies.
const (
	ballMinMPS  = 5.0 // a soft toss
	ballMaxMPS  = 60.0
	BallExtra   = 40.0 // m/s²: lift, drag and a camera off square
	ballPoints  = 5
	outPoints   = 3
	turnReachS  = 0.030 // of the turn from the last and first Sightings
	turnReachM  = 0.07  // between the two flights where they come closest
	overlapM    = 0.09  // a "ball" that stays this close to the barrel is the bat
	BallSD      = 1.2   // px, of a blob before it is fitted as a disc
	ballMissing = 4     // frames in a row
	ballLeast   = 0.2   // of the disc's area
	ballMost    = 5.0   // of it: a streak
	ballTravelM = 0.5
	outTravelM  = 0.2
	fittedSD    = 0.15 // px, of a ball's centre fitted as a disc
	unfittedSD  = 3.0  // px, of one weighed only
	wholeLeast  = 4    // discs of one flight: with so many, only discs count
)

// balls finds one flight to the hitter for each swing, and what became of it.
func (g *Gathered) balls(s *Sightings, c metrics.Card, ppm float64) {
	blobs := make([][]track.Blob, len(s.Blobs))
	disc := math.Pi * math.Pow(c.BallRadiusM()*ppm, 2)
	sized := g.Scale.Source != "guess"
	for f := range s.Blobs {
		for _, b := range s.Blobs[f] {
			if sized && (b.Mass < ballLeast*disc || b.Mass > ballMost*disc) {
				continue
			}
			b.X, b.Y = s.Moves[f].Apply(b.X, b.Y)
			blobs[f] = append(blobs[f], b)
		}
	}
	fs := track.FlightSearch{
		MinSpeed: ballMinMPS * ppm, MaxSpeed: ballMaxMPS * ppm, Gravity: 9.81 * ppm, ExtraAcc: BallExtra * ppm,
		SDPx: BallSD, MaxMiss: ballMissing, MinPoints: ballPoints, Toward: -int(g.View.Sign),
	}
	var in []track.Flight
	if c.Kind != "tee" && c.Kind != "dry" {
		in = g.notTheBat(track.Flights(blobs, s.TimesS, fs), ppm)
	}
	speeds := sampleSpeeds(g.Track.Barrel)
	done, all := g.steps.From(g.steps.Total-len(s.TimesS)), len(s.TimesS)
	for k, sw := range g.Track.Swings {
		done(all * k / len(g.Track.Swings))
		best, bestM := -1, ballTravelM*ppm
		peak := g.peakAmong(speeds, sw)
		for i, fl := range in {
			first, last := s.TimesS[fl.Frames[0]], s.TimesS[fl.Frames[len(fl.Frames)-1]]
			// The pitch is under way before the swing peaks and ends near it, or
			// goes on past a miss.
			if last < peak-0.15 || first > peak+0.02 || fl.RMS > 4 {
				continue
			}
			// Of several, the one that came farthest: what moves with a hitter's body
			// may be followed for long, but not for far.
			if m := travel(fl); m > bestM {
				best, bestM = i, m
			}
		}
		var bf metrics.BallFlight
		if best >= 0 {
			radius := c.BallRadiusM() * ppm
			shutter := shutterOf(in[best], s, radius, !sized)
			bf.In = ballSamples(refine(in[best], s, radius, shutter, !sized), s.TimesS)
			if out, ok := g.after(blobs, s.TimesS, in[best], fs, ppm); ok {
				bf.Out = ballSamples(refine(out, s, radius, shutter, true), s.TimesS)
			}
		}
		if c.Kind == "tee" {
			if out, ok := g.offTee(blobs, s.TimesS, peak, fs, ppm); ok {
				radius := c.BallRadiusM() * ppm
				bf.Out = ballSamples(refine(out, s, radius, shutterOf(out, s, radius, true), true), s.TimesS)
			}
		}
		g.Track.Balls = append(g.Track.Balls, bf)
	}
}

// travel is how far a flight went, px.
func travel(fl track.Flight) float64 {
	a, b := fl.Blobs[0], fl.Blobs[len(fl.Blobs)-1]
	return math.Hypot(b.X-a.X, b.Y-a.Y)
}

// shutterOf is the exposure time that a flight's streaks tell, s. The moments of
// a streak begin the search: they tell too long a one, because a disc drawn out is
// not a disc and a line laid over each other.
func shutterOf(fl track.Flight, s *Sightings, radiusPx float64, loose bool) float64 {
	var v []float64
	for _, b := range fl.Blobs {
		if speed := fl.Fit.Speed(); speed > 0 {
			v = append(v, math.Sqrt(12*math.Max(0, b.Along*b.Along-b.Cross*b.Cross))/speed)
		}
	}
	guess := middle(v)
	v = v[:0]
	for _, b := range refine(fl, s, radiusPx, guess, loose).Blobs {
		if b.Fitted {
			v = append(v, b.StreakPx/fl.Fit.Speed())
		}
	}
	if len(v) < shutterLeast {
		return guess
	}
	return middle(v)
}

// How small and how large a ball may look, against one of the card's scale in the
// plane of the pitch: a metre nearer or farther at four.
const (
	looseLeast = 0.8
	looseMost  = 1.3
)

// shutterLeast is how many fitted streaks tell an exposure.
const shutterLeast = 3

// refine measures each blob of a flight as a disc of known size. In a steadied
// clip the crop lies where it was filmed: the disc is fitted there. It is sought
// where the blob is and where the flight says, because a ball that touches the
// bat in the picture makes one blob with it.
//
// A ball that was hit leaves the plane of the pitch, and a card may not give the
// scale: loose says that the ball may look smaller or larger than radiusPx.
func refine(fl track.Flight, s *Sightings, radiusPx, shutterS float64, loose bool) track.Flight {
	out := fl
	out.Blobs = append([]track.Blob(nil), fl.Blobs...)
	for i, b := range out.Blobs {
		if b.Crop == nil {
			continue
		}
		f := fl.Frames[i]
		vx, vy := fl.Fit.Velocity(s.TimesS[f])
		disc := ball.Disc{RadiusPx: radiusPx, DX: shutterS * vx, DY: shutterS * vy}
		back := s.Moves[f].Inverse()
		bx, by := back.Apply(b.X, b.Y)
		fx, fy := back.Apply(fl.Fit.At(s.TimesS[f]))
		p, ok := disc.Fit(b.Crop, [2]float64{bx, by}, [2]float64{fx, fy})
		if ok && loose {
			disc.RadiusPx = disc.Size(b.Crop, p, looseLeast*radiusPx, looseMost*radiusPx)
			p, ok = disc.Fit(b.Crop, [2]float64{p.X, p.Y})
		}
		if !ok {
			continue
		}
		o := &out.Blobs[i]
		o.X, o.Y = s.Moves[f].Apply(p.X, p.Y)
		o.Fitted, o.VarXX, o.VarXY, o.VarYY = true, p.VarXX, p.VarXY, p.VarYY
		v := math.Hypot(vx, vy)
		o.StreakPx = disc.Streak(b.Crop, p, vx/v, vy/v, v/s.FPS)
	}
	return out
}

// after looks for the ball's flight away from its turn.
func (g *Gathered) after(blobs [][]track.Blob, timesS []float64, in track.Flight, fs track.FlightSearch, ppm float64) (track.Flight, bool) {
	last := in.Frames[len(in.Frames)-1]
	from, to := last+1, last+1
	for to < len(timesS) && timesS[to]-timesS[last] < 0.15 {
		to++
	}
	if to-from < outPoints {
		return track.Flight{}, false
	}
	fs.Toward, fs.MinPoints, fs.MinSpeed, fs.MaxSpeed = 0, outPoints, 4*ppm, 75*ppm
	fs.MaxMiss = 2
	var best track.Flight
	found, bestM := false, outTravelM*ppm
	for _, fl := range g.notTheBat(track.Flights(blobs[from:to], timesS[from:to], fs), ppm) {
		for i := range fl.Frames {
			fl.Frames[i] += from
		}
		if g.notTurned(in, fl, timesS, ppm) {
			continue
		}
		if m := travel(fl); m > bestM {
			best, bestM, found = fl, m, true
		}
	}
	return best, found
}

// teeReachM is how far from the barrel a ball hit off a tee may first be seen.
const teeReachM = 0.6

// offTee looks for a ball that leaves towards the pitcher from where the barrel
// is.
func (g *Gathered) offTee(blobs [][]track.Blob, timesS []float64, peak float64, fs track.FlightSearch, ppm float64) (track.Flight, bool) {
	from := sort.SearchFloat64s(timesS, peak-0.03)
	to := sort.SearchFloat64s(timesS, peak+0.15)
	fs.Toward, fs.MinPoints, fs.MinSpeed, fs.MaxSpeed, fs.MaxMiss = int(g.View.Sign), outPoints, 8*ppm, 75*ppm, 2
	var best track.Flight
	found, bestM := false, outTravelM*ppm
	for _, fl := range g.notTheBat(track.Flights(blobs[from:to], timesS[from:to], fs), ppm) {
		for i := range fl.Frames {
			fl.Frames[i] += from
		}
		b, ok := near(g.Track.Barrel, timesS[fl.Frames[0]])
		if !ok || math.Hypot(fl.Blobs[0].X-b.XPx, fl.Blobs[0].Y-b.YPx) > teeReachM*ppm {
			continue
		}
		if m := travel(fl); m > bestM {
			best, bestM, found = fl, m, true
		}
	}
	return best, found
}

// notTurned reports that two flights do not meet in a turn: they come close at
// no time between the last sighting of one and the first of the other, or go on
// in the same direction.
func (g *Gathered) notTurned(in, out track.Flight, timesS []float64, ppm float64) bool {
	if in.Fit.X[1]*out.Fit.X[1]+in.Fit.Y[1]*out.Fit.Y[1] > 0.7*in.Fit.Speed()*out.Fit.Speed() {
		return true
	}
	last, first := timesS[in.Frames[len(in.Frames)-1]], timesS[out.Frames[0]]
	if first-last > turnReachS {
		return true
	}
	closest := math.Inf(1)
	for k := 0; k <= 40; k++ {
		t := last + (first-last)*float64(k)/40
		x, y := in.Fit.At(t)
		u, v := out.Fit.At(t)
		closest = math.Min(closest, math.Hypot(x-u, y-v))
	}
	return closest > turnReachM*ppm
}

// notTheBat drops flights that stay beside the barrel's or the hands' path.
func (g *Gathered) notTheBat(fls []track.Flight, ppm float64) []track.Flight {
	var out []track.Flight
	for _, fl := range fls {
		sum, n := 0.0, 0
		for k, f := range fl.Frames {
			if b, ok := near(g.Track.Barrel, g.Track.TimesS[f]); ok {
				sum += math.Min(0.5*ppm, math.Hypot(fl.Blobs[k].X-b.XPx, fl.Blobs[k].Y-b.YPx))
				n++
			}
		}
		if n == 0 || n < len(fl.Frames)/2 || sum/float64(n) > overlapM*ppm {
			out = append(out, fl)
		}
	}
	return out
}

// PeakTime is when the barrel is fastest within a swing.
func (g *Gathered) PeakTime(sw metrics.Span) float64 {
	return g.peakAmong(sampleSpeeds(g.Track.Barrel), sw)
}

// peakAmong is PeakTime by the speeds of all samples of the barrel.
func (g *Gathered) peakAmong(speeds []float64, sw metrics.Span) float64 {
	at, most := 0.0, -1.0
	for i, b := range g.Track.Barrel {
		if b.Frame >= sw.From && b.Frame < sw.To && speeds[i] > most {
			at, most = b.TimeS, speeds[i]
		}
	}
	return at
}

// ballSamples turns a flight into samples. A patch that is no disc is a ball beside
// the bat, before a sleeve, cut by the picture's edge or bent by its turn: where
// enough whole discs are left, only those are kept.
func ballSamples(fl track.Flight, timesS []float64) []metrics.Sample {
	whole := 0
	for _, b := range fl.Blobs {
		if b.Fitted {
			whole++
		}
	}
	var out []metrics.Sample
	for k, f := range fl.Frames {
		b := fl.Blobs[k]
		if !b.Fitted && whole >= wholeLeast {
			continue
		}
		x := metrics.Sample{Frame: f, TimeS: timesS[f], XPx: b.X, YPx: b.Y, How: metrics.Seen, StreakPx: b.StreakPx, SizePx: b.Cross * 4}
		if b.Fitted {
			x.VarXX, x.VarXY, x.VarYY = b.VarXX+fittedSD*fittedSD, b.VarXY, b.VarYY+fittedSD*fittedSD
		} else {
			sd := math.Max(unfittedSD, math.Min(4, fl.RMS))
			x.VarXX, x.VarYY = sd*sd, sd*sd
		}
		out = append(out, x)
	}
	return out
}
