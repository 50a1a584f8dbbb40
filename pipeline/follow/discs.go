package follow

import (
	"math"

	"ashline/metrics"
	"ashline/pipeline/ball"
	"ashline/pipeline/track"
)

// shutterOf is the exposure time that a flight's streaks tell, s. The moments of
// a streak begin the search: they tell too long a one, because a disc drawn out is
// not a disc and a line laid over each other.
func shutterOf(fl track.Flight, s Sightings, radiusPx float64, loose bool) float64 {
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

// refine measures each blob of a flight as a disc of known size. In a steadied
// clip the crop lies where it was filmed: the disc is fitted there. It is sought
// where the blob is and where the flight says, because a ball that touches the
// bat in the picture makes one blob with it.
//
// A ball that was hit leaves the plane of the pitch, and a card may not give the
// scale: loose says that the ball may look smaller or larger than radiusPx.
func refine(fl track.Flight, s Sightings, radiusPx, shutterS float64, loose bool) track.Flight {
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
		x := metrics.Sample{Frame: f, TimeS: timesS[f], XPx: b.X, YPx: b.Y, How: metrics.Seen, StreakPx: b.StreakPx}
		if b.Fitted { // else other things may be in the patch, and its size tells nothing
			x.SizePx = sizeSD * b.Cross
			x.VarXX, x.VarXY, x.VarYY = b.VarXX+fittedSD*fittedSD, b.VarXY, b.VarYY+fittedSD*fittedSD
		} else {
			sd := math.Max(unfittedSD, math.Min(unfittedMost, fl.RMS))
			x.VarXX, x.VarYY = sd*sd, sd*sd
		}
		out = append(out, x)
	}
	return out
}
