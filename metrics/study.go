package metrics

import (
	"sort"
)

// Study is a Result with the curves behind it, for drawing and for track.csv.
type Study struct {
	Result Result
	Swings []Curves
	track  Track
}

// Plane gives swing i in the plane of the pitch; false where it could not be put
// there, or has no scale.
func (st Study) Plane(i int) (PlanePath, bool) {
	if i < 0 || i >= len(st.Swings) || i >= len(st.Result.Swings) || st.Swings[i].plane == nil {
		return PlanePath{}, false
	}
	p := st.Swings[i].plane()
	p.keys(st.Result.Swings[i].Keys, st.Swings[i].planeAt)
	return p, len(p.Points) > 1
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
