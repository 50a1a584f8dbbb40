package pipeline

import (
	"fmt"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/fault"
	"ashline/pipeline/follow"
	"ashline/pipeline/mark"
	"ashline/pipeline/track"
)

// found says what became of a mark in one frame, the worst first.
type found int

const (
	foundNothing found = iota // no patch of the hue
	foundRefused              // patches, none of them chosen
	foundFilled               // only the smoothed path knows
	foundFlow
	foundSeen
	foundKinds
)

// foundNames are the heads of the columns of counts.
var foundNames = [foundKinds]string{"nothing", "refused", "filled", "flow", "seen"}

// inspection is what was offered and what was chosen, frame by frame. Places are
// px of the steadied picture, but for the blobs, which are as filmed.
type inspection struct {
	s        *follow.Sightings
	g        *follow.Gathered // nil when nothing was followed
	study    metrics.Study
	cause    error // of the failure, nil without
	marks    []inspectedMark
	flights  []inspectedFlight
	contacts []inspectedContact
	spans    []metrics.Span
}

// inspectedMark is one mark through the clip.
type inspectedMark struct {
	name       string
	colour     draw.Colour
	candidates [][]mark.Candidate
	chosen     []int // nil when no path was looked for
	samples    []metrics.Sample
	last       []int // by frame: the newest sample up to it, −1 before the first
	found      []found
	count      [foundKinds]int
}

// inspectedFlight is one chosen flight of the ball.
type inspectedFlight struct {
	swing   int
	out     bool
	samples []metrics.Sample
	fit     track.Parabola
	rms     float64 // px
}

// inspectedContact is where a swing met the ball.
type inspectedContact struct {
	timeS float64
	at    draw.Point
}

func inspect(s *follow.Sightings, g *follow.Gathered, study metrics.Study, cause error) (*inspection, error) {
	in := &inspection{s: s, g: g, study: study, cause: cause}
	if g != nil {
		in.spans = g.Track.Swings
	}
	for i, name := range s.Names {
		m := inspectedMark{name: name, colour: markColour(name)}
		if g != nil {
			m.candidates, m.chosen = g.Candidates[name], g.Chosen[name]
		}
		if m.candidates == nil {
			var err error
			if m.candidates, err = offered(s, i); err != nil {
				return nil, err
			}
		}
		m.samples = in.samples(name)
		m.sort(len(s.TimesS))
		in.marks = append(in.marks, m)
	}
	if g != nil {
		for i, b := range g.Track.Balls {
			in.fly(i, false, b.In)
			in.fly(i, true, b.Out)
		}
	}
	for _, c := range study.Swings {
		if c.Known {
			p := c.Barrel(c.ContactS)
			in.contacts = append(in.contacts, inspectedContact{c.ContactS, draw.Point{X: p[0], Y: p[1]}})
		}
	}
	return in, nil
}

func markColour(name string) draw.Colour {
	switch name {
	case "barrel":
		return draw.PathOutOfZone
	case "hands":
		return draw.Hands
	}
	return draw.Model
}

// offered are the candidates of one mark when no path was looked for, in the
// steadied picture as those of a path are.
func offered(s *follow.Sightings, model int) ([][]mark.Candidate, error) {
	shifts := make([][2]float64, len(s.Moves))
	for i := range s.Moves {
		shifts[i][0], shifts[i][1] = middleMoved(s, i)
	}
	out, err := s.Scan.Candidates(model, s.Site, shifts, nil)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", fault.ErrBug, err)
	}
	for f := range out {
		for k := range out[f] {
			c := &out[f][k]
			c.X, c.Y = s.Moves[f].Apply(c.X, c.Y)
		}
	}
	return out, nil
}

// samples are a mark's samples: as they were measured, with what was filled in,
// where a swing was; as they were followed otherwise.
func (in *inspection) samples(name string) []metrics.Sample {
	switch {
	case in.g == nil:
		return nil
	case len(in.study.Swings) > 0:
		return in.study.Samples(name)
	case name == "barrel":
		return in.g.Track.Barrel
	case name == "hands":
		return in.g.Track.Hands
	}
	return in.g.Track.Joints[name]
}

// sort fills what is known by frame.
func (m *inspectedMark) sort(frames int) {
	m.last, m.found = make([]int, frames), make([]found, frames)
	k := 0
	for f := range frames {
		for k < len(m.samples) && m.samples[k].Frame <= f {
			k++
		}
		m.last[f] = k - 1
		switch smp, ok := m.at(f); {
		case ok && smp.How == metrics.Seen:
			m.found[f] = foundSeen
		case ok && smp.How == metrics.Flow:
			m.found[f] = foundFlow
		case ok:
			m.found[f] = foundFilled
		case len(m.candidates[f]) > 0:
			m.found[f] = foundRefused
		}
		m.count[m.found[f]]++
	}
}

// at is the sample of a frame.
func (m *inspectedMark) at(f int) (metrics.Sample, bool) {
	if k := m.last[f]; k >= 0 && m.samples[k].Frame == f {
		return m.samples[k], true
	}
	return metrics.Sample{}, false
}

// picked is the candidate that was chosen in a frame, −1 without.
func (m *inspectedMark) picked(f int) int {
	if f >= len(m.chosen) {
		return -1
	}
	return m.chosen[f]
}

// nearestContact is the contact nearest to t.
func (in *inspection) nearestContact(t float64) (inspectedContact, bool) {
	var best inspectedContact
	for i, c := range in.contacts {
		if i == 0 || (c.timeS-t)*(c.timeS-t) < (best.timeS-t)*(best.timeS-t) {
			best = c
		}
	}
	return best, len(in.contacts) > 0
}
