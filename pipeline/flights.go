package pipeline

import (
	"math"
	"sort"

	"ashline/metrics"
	"ashline/pipeline/ball"
	"ashline/pipeline/track"
)

const (
	ballMinMPS  = 5.0 // a soft toss
	ballMaxMPS  = 60.0
	ballExtra   = 40.0 // m/s²: lift, drag and a camera off square
	ballPoints  = 5
	outPoints   = 3
	turnReachS  = 0.030 // of the turn from the last and first sightings
	turnReachM  = 0.07  // between the two flights where they come closest
	overlapM    = 0.09  // a "ball" that stays this close to the barrel is the bat
	ballSD      = 1.2   // px, of a blob before it is fitted as a disc
	ballMissing = 4     // frames in a row
	ballLeast   = 0.2   // of the disc's area
	ballMost    = 5.0   // of it: a streak
	ballTravelM = 0.5
	outTravelM  = 0.2
	fittedSD    = 0.35 // px, of a ball's centre fitted as a disc
	unfittedSD  = 1.5  // px, of one weighed only
)

// balls finds one flight to the hitter for each swing, and what became of it.
func (g *gathered) balls(s *sightings, c metrics.Card, ppm float64) {
	blobs := make([][]track.Blob, len(s.blobs))
	disc := math.Pi * math.Pow(c.BallRadiusM()*ppm, 2)
	sized := g.scale.Source != "guess"
	for f := range s.blobs {
		for _, b := range s.blobs[f] {
			if sized && (b.Mass < ballLeast*disc || b.Mass > ballMost*disc) {
				continue
			}
			b.X, b.Y = s.moves[f].Apply(b.X, b.Y)
			blobs[f] = append(blobs[f], b)
		}
	}
	fs := track.FlightSearch{
		MinSpeed: ballMinMPS * ppm, MaxSpeed: ballMaxMPS * ppm, Gravity: 9.81 * ppm, ExtraAcc: ballExtra * ppm,
		SDPx: ballSD, MaxMiss: ballMissing, MinPoints: ballPoints, Toward: -int(g.view.Sign),
	}
	var in []track.Flight
	if c.Kind != "tee" && c.Kind != "dry" {
		in = g.notTheBat(track.Flights(blobs, s.timesS, fs), ppm)
	}
	for _, sw := range g.track.Swings {
		best, bestM := -1, ballTravelM*ppm
		peak := g.peakTime(sw)
		for i, fl := range in {
			first, last := s.timesS[fl.Frames[0]], s.timesS[fl.Frames[len(fl.Frames)-1]]
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
			shutter := shutterOf(in[best])
			radius := c.BallRadiusM() * ppm
			bf.In = ballSamples(refine(in[best], s, radius, shutter), s.timesS)
			if out, ok := g.after(blobs, s.timesS, in[best], fs, ppm); ok {
				bf.Out = ballSamples(refine(out, s, radius, shutter), s.timesS)
			}
		}
		if c.Kind == "tee" {
			if out, ok := g.offTee(blobs, s.timesS, peak, fs, ppm); ok {
				bf.Out = ballSamples(refine(out, s, c.BallRadiusM()*ppm, shutterOf(out)), s.timesS)
			}
		}
		g.track.Balls = append(g.track.Balls, bf)
	}
}

// travel is how far a flight went, px.
func travel(fl track.Flight) float64 {
	a, b := fl.Blobs[0], fl.Blobs[len(fl.Blobs)-1]
	return math.Hypot(b.X-a.X, b.Y-a.Y)
}

// shutterOf is the exposure time that a flight's streaks tell, s.
func shutterOf(fl track.Flight) float64 {
	var v []float64
	for _, b := range fl.Blobs {
		if speed := fl.Fit.Speed(); speed > 0 {
			v = append(v, math.Sqrt(12*math.Max(0, b.Along*b.Along-b.Cross*b.Cross))/speed)
		}
	}
	return middle(v)
}

// refine measures each blob of a flight as a disc of known size. In a steadied
// clip the crop lies where it was filmed: the disc is fitted there.
func refine(fl track.Flight, s *sightings, radiusPx, shutterS float64) track.Flight {
	out := fl
	out.Blobs = append([]track.Blob(nil), fl.Blobs...)
	for i, b := range out.Blobs {
		if b.Crop == nil {
			continue
		}
		f := fl.Frames[i]
		d := s.timesS[f] - fl.Fit.T0
		disc := ball.Disc{
			RadiusPx: radiusPx,
			DX:       shutterS * (fl.Fit.X[1] + fl.Fit.X[2]*d), DY: shutterS * (fl.Fit.Y[1] + fl.Fit.Y[2]*d),
		}
		x, y := s.moves[f].Inverse().Apply(b.X, b.Y)
		if x, y, ok := disc.Fit(b.Crop, x, y); ok {
			out.Blobs[i].X, out.Blobs[i].Y = s.moves[f].Apply(x, y)
			out.Blobs[i].Fitted = true
		}
	}
	return out
}

// after looks for the ball's flight away from its turn.
func (g *gathered) after(blobs [][]track.Blob, timesS []float64, in track.Flight, fs track.FlightSearch, ppm float64) (track.Flight, bool) {
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
func (g *gathered) offTee(blobs [][]track.Blob, timesS []float64, peak float64, fs track.FlightSearch, ppm float64) (track.Flight, bool) {
	from := sort.SearchFloat64s(timesS, peak-0.03)
	to := sort.SearchFloat64s(timesS, peak+0.15)
	fs.Toward, fs.MinPoints, fs.MinSpeed, fs.MaxSpeed, fs.MaxMiss = int(g.view.Sign), outPoints, 8*ppm, 75*ppm, 2
	var best track.Flight
	found, bestM := false, outTravelM*ppm
	for _, fl := range g.notTheBat(track.Flights(blobs[from:to], timesS[from:to], fs), ppm) {
		for i := range fl.Frames {
			fl.Frames[i] += from
		}
		b, ok := near(g.track.Barrel, timesS[fl.Frames[0]])
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
func (g *gathered) notTurned(in, out track.Flight, timesS []float64, ppm float64) bool {
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
func (g *gathered) notTheBat(fls []track.Flight, ppm float64) []track.Flight {
	var out []track.Flight
	for _, fl := range fls {
		sum, n := 0.0, 0
		for k, f := range fl.Frames {
			if b, ok := near(g.track.Barrel, g.track.TimesS[f]); ok {
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

// peakTime is when the barrel is fastest within a swing.
func (g *gathered) peakTime(sw metrics.Span) float64 {
	speeds := sampleSpeeds(g.track.Barrel)
	at, most := 0.0, -1.0
	for i, b := range g.track.Barrel {
		if b.Frame >= sw.From && b.Frame < sw.To && speeds[i] > most {
			at, most = b.TimeS, speeds[i]
		}
	}
	return at
}

func ballSamples(fl track.Flight, timesS []float64) []metrics.Sample {
	var out []metrics.Sample
	for k, f := range fl.Frames {
		b := fl.Blobs[k]
		sd := fittedSD
		if !b.Fitted {
			sd = math.Max(unfittedSD, math.Min(4, fl.RMS))
		}
		out = append(out, metrics.Sample{
			Frame: f, TimeS: timesS[f], XPx: b.X, YPx: b.Y, VarXX: sd * sd, VarYY: sd * sd, How: metrics.Seen,
			StreakPx: math.Sqrt(12 * math.Max(0, b.Along*b.Along-b.Cross*b.Cross)), SizePx: b.Cross * 4,
		})
	}
	return out
}
