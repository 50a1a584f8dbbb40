package follow

import (
	"cmp"
	"context"

	"ashline/metrics"
	"ashline/pipeline/pose"
	"ashline/pipeline/progress"
	"ashline/pipeline/setup"
)

// Found is what a clip's pixels come to: the track that is measured, and what it was
// chosen from.
type Found struct {
	Card  metrics.Card // with what the picture adds to it
	Track metrics.Track
	Ruler Ruler
	Paths Paths

	cardNotes []string
}

// Follow turns sightings into paths, swings and flights. The network, which finds
// joints without a band, may be nil. An error of a clip without a path or a swing
// comes with the paths so far.
func Follow(ctx context.Context, s Sightings, c metrics.Card, net *pose.Net, report progress.Report) (Found, error) {
	out := Found{Card: c, Ruler: NewRuler(c, s.Info.Width, s.Info.Height)}
	// The balls count as many steps as the clip has frames.
	n := len(s.TimesS)
	steps := &progress.Steps{Report: report, Stage: "follow", Total: LinkSteps(s) + n, Every: linkStep}
	if out.Ruler.Known() {
		if err := setup.Lens(out.Ruler.View, s.Info.Width, s.Info.Height); err != nil {
			return out, err
		}
	}
	var err error
	if out.Paths, err = Link(s, c, out.Ruler, steps); err != nil {
		return out, err
	}
	barrel := out.Paths.Of("barrel")
	swings, err := Swings(s, barrel.Samples, out.Ruler)
	if err != nil {
		return out, err
	}
	// Of two reasons to refuse the deeper one is told: what is not the barrel has no side, and
	// by a wrong scale no band looks as large as it should.
	unlike := barrel.unlike(s, out.Ruler, c.Marks.Barrel.Colour)
	if out.Card, out.cardNotes, err = settled(s, c, towards(barrel.Samples)); err != nil {
		return out, cmp.Or(unlike, err)
	}
	c, out.Ruler = out.Card, NewRuler(out.Card, s.Info.Width, s.Info.Height)
	flights := Flights(s, c, out.Ruler, barrel.Samples, swings, steps.From(LinkSteps(s)))
	steps.Reach(steps.Total)

	hands := out.Paths.Of("hands").Samples
	bridged, err := Bridge(ctx, s.Footage, barrel.Samples, swings, report)
	if err != nil {
		return Found{}, err
	}
	rows := rowsOf(c, s.Info.Height)
	var seen map[string][]metrics.Sample
	if net != nil {
		if seen, err = Joints(ctx, s.Footage, hitter{bats: c.Bats, barrel: bridged, hands: hands, swings: swings, ppm: out.Ruler.PxPerM()}, net, report); err != nil {
			return Found{}, err
		}
		for name, samples := range seen {
			seen[name] = rows.times(samples)
		}
	}
	out.Track = metrics.Track{
		WidthPx: s.Info.Width, HeightPx: s.Info.Height, TimesS: s.TimesS,
		Barrel: rows.times(bridged), Hands: rows.times(hands), Joints: map[string][]metrics.Sample{}, Pose: seen,
		Swings: swings, HueShare: barrel.hueShare(s.TimesS, out.Ruler.PxPerM()),
	}
	for _, p := range out.Paths {
		if p.Mark != "barrel" && p.Mark != "hands" {
			out.Track.Joints[p.Mark] = rows.times(p.Samples)
		}
	}
	for _, f := range flights {
		out.Track.Balls = append(out.Track.Balls, metrics.BallFlight{In: rows.times(f.In), Out: rows.times(f.Out)})
	}
	rulers := metrics.Rulers(out.Track, c)
	stray, err := setup.Scale(rulers)
	if err != nil {
		return out, err
	}
	if stray {
		out.Track.Hands = nil
		for i, p := range out.Paths {
			if p.Mark == "hands" {
				out.Paths[i] = p.refuse(Stray)
			}
		}
	}
	if !out.Ruler.Known() {
		if len(rulers) > 0 { // now that the scale is known, tilt and yaw can be read
			view := out.Ruler.View.Rescaled(out.Ruler.PxPerM() / rulers[0].PxPerM)
			var notes []string
			out.Card, notes, err = setup.Attitude(c, view, true, s.Edges, s.Info.Height)
			out.cardNotes = append(out.cardNotes, notes...)
		}
		return out, cmp.Or(unlike, err)
	}
	return out, cmp.Or(setup.Pace(pace(barrel.Samples)/out.Ruler.PxPerM()), unlike)
}

// settled is the card with its sides and the camera's attitude held against the picture, and
// what is to be said of that.
func settled(s Sightings, c metrics.Card, towards float64) (metrics.Card, []string, error) {
	c, notes, err := setup.Sides(c, towards)
	if err != nil {
		return c, notes, err
	}
	r := NewRuler(c, s.Info.Width, s.Info.Height)
	c, more, err := setup.Attitude(c, r.View, r.Known(), s.Edges, s.Info.Height)
	return c, append(notes, more...), err
}

// Notes says what the picture added to the card, and what of the marks had to be left out.
func (f Found) Notes() []string {
	if why := f.Paths.Of("hands").Refused; why == NeverApart || why == Stray {
		return append(f.cardNotes, string(why))
	}
	return f.cardNotes
}
