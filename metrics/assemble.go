package metrics

import (
	"math"
	"sort"

	"ashline/metrics/catalogue"
	"ashline/metrics/geom"
)

// swingOf writes one swing's result from its figures and their spread.
func swingOf(p paths, index int, t Track, m motion, f figures, s spread) Swing {
	g := footingOf(p, m, f)
	sw := Swing{Index: index, Line: lineSource(p.card, m), Keys: g.keys(t.TimesS)}
	for k := range catalogue.NumMetrics {
		sw.Metrics[k] = g.value(k, s)
	}
	return sw
}

// missingSwing is a swing of which nothing is known.
func missingSwing(index int, why string) Swing {
	sw := Swing{Index: index, Line: "none"}
	for k := range catalogue.NumKeys {
		*sw.Keys.at(k) = Key{Status: Missing, Why: why}
	}
	for m := range catalogue.NumMetrics {
		sw.Metrics[m] = Lacking(m.Row().Unit, why)
	}
	return sw
}

// sureKeys is how sure the times of key positions other than contact are; common
// practice.
var sureKeys = [catalogue.NumKeys]float64{catalogue.Launch: 0.8, catalogue.Slot: 0.7, catalogue.Lag: 0.8, catalogue.Finish: 0.7}

// keys places the key positions among frames at times.
func (g footing) keys(timesS []float64) Keys {
	var out Keys
	for k := range catalogue.NumKeys {
		row, rel := k.Row(), g.keyS[k]
		if math.IsNaN(rel) {
			*out.at(k) = Key{Status: Missing, Why: g.lackKey(k)}
			continue
		}
		frame := frameAt(timesS, g.contact.TimeS+rel)
		key := Key{TimeS: &rel, Frame: &frame, Confidence: sureKeys[k], Status: Measured}
		if why := g.assumption(row.Needs); why != "" {
			key.Status, key.Why = Assumed, why
		}
		*out.at(k) = key
	}
	out.Contact.Confidence, out.Contact.Why = g.contact.Confidence, g.contact.Why
	if g.contact.Assumed {
		out.Contact.Status = Assumed
	}
	return out
}

// frameAt is the fractional frame of a time.
func frameAt(times []float64, t float64) float64 {
	n := len(times)
	i := sort.SearchFloat64s(times, t)
	switch {
	case n < 2:
		return 0
	case i == 0:
		i = 1
	case i >= n:
		i = n - 1
	}
	return float64(i-1) + (t-times[i-1])/(times[i]-times[i-1])
}

// Samples returns a mark's samples by name for track.csv: barrel on the bat's
// axis, hands, a joint, or ball.
func (st Study) Samples(name string) []Sample {
	switch name {
	case "barrel":
		return st.barrel()
	case "hands":
		hands := st.track.Hands
		for _, c := range st.Swings {
			hands = without(hands, c.stray)
		}
		return hands
	case "ball":
		var out []Sample
		for _, b := range st.track.Balls {
			out = append(append(out, b.In...), b.Out...)
		}
		return out
	}
	if j := st.track.Joints[name]; len(j) > 0 {
		return j
	}
	return st.track.Pose[name]
}

const (
	// fillSDPx is the uncertainty beyond which a frame without a sighting stays
	// empty: there the path is not known.
	fillSDPx = 2.0
	// hiddenPx is the uncertainty, from how little of the band a sighting shows,
	// from which it is the bat's motion rather than the sighting that says where
	// the barrel is.
	hiddenPx = 1.0
	// contradictSD is how many s.d. a sighting and the bat's place may be apart.
	contradictSD = 3.0
)

// barrel is the barrel's place in every frame in which it is known: on the fitted
// bat where there is one, else on the smoothed path.
func (st Study) barrel() []Sample {
	at := map[int]Sample{}
	for _, s := range st.track.Barrel {
		at[s.Frame] = s
	}
	for _, c := range st.Swings {
		for _, s := range c.samples {
			at[s.Frame] = s
		}
		if !c.Known {
			continue
		}
		for f := c.Span.From; f < c.Span.To && f < len(st.track.TimesS); f++ {
			seen, ok := at[f]
			s, known := c.place(f, st.track.TimesS[f], seen, ok)
			if delete(at, f); known {
				at[f] = s
			}
		}
	}
	out := make([]Sample, 0, len(at))
	for _, s := range at {
		out = append(out, s)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Frame < out[j].Frame })
	return out
}

// place is the barrel in frame f, at time t or that of its sighting, if any.
func (c Curves) place(f int, t float64, seen Sample, sighted bool) (Sample, bool) {
	s := Sample{Frame: f, TimeS: t, How: Filled}
	if sighted {
		s = seen
	}
	var p geom.Point
	var v float64
	ok := c.bat != nil
	if ok {
		p, ok = c.bat.OnAxis(s.TimeS)
	}
	switch {
	case ok:
		v = sureness * sureness * c.bat.PxVar(s.TimeS)
		if !sighted {
			break
		}
		// Bat and sighting contradict each other: either may be right.
		off2 := (seen.XPx-p[0])*(seen.XPx-p[0]) + (seen.YPx-p[1])*(seen.YPx-p[1])
		switch {
		case c.bat.HiddenVar(seen.band()) > hiddenPx*hiddenPx:
			s.How = Filled
		case off2 > contradictSD*contradictSD*(v+(seen.VarXX+seen.VarYY)/2):
			s.How = Filled
			v += off2 / 2
		}
	case sighted:
		return s, true
	case t <= c.FirstS || t >= c.LastS:
		return s, false
	default:
		p, v = c.path(t), c.variance(t)
	}
	s.XPx, s.YPx, s.VarXX, s.VarXY, s.VarYY = p[0], p[1], v, 0, v
	return s, s.How == Seen || v <= fillSDPx*fillSDPx
}
