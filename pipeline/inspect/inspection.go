package inspect

import (
	"strings"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/follow"
	"ashline/pipeline/mark"
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

// barTall is the height of a bar, parts of the row, by what was found.
var barTall = [foundKinds]float64{0, 0.14, 0.36, 0.58, 0.8}

// inspection is what was offered and what was chosen, frame by frame. Places are
// px of the steadied picture, but for the blobs, which are as filmed.
type inspection struct {
	s        follow.Sightings
	found    follow.Found // without paths when nothing was followed
	study    metrics.Study
	cause    error // of the failure, nil without
	marks    []inspectedMark
	flights  []inspectedFlight
	contacts []inspectedContact
	spans    []metrics.Span
}

// inspectedMark is one mark through the clip.
type inspectedMark struct {
	name         string
	colour       draw.Colour
	candidates   [][]mark.Candidate
	chosen       []int // nil when no path was looked for
	refused      follow.Refusal
	score, rival float64 // nats
	samples      []metrics.Sample
	last         []int // by frame: the newest sample up to it, −1 before the first
	found        []found
	count        [foundKinds]int
}

// inspectedContact is where a swing met the ball.
type inspectedContact struct {
	timeS float64
	at    draw.Point
}

func newInspection(s follow.Sightings, found follow.Found, study metrics.Study, cause error) (*inspection, error) {
	in := &inspection{s: s, found: found, study: study, cause: cause, spans: found.Track.Swings}
	for i, name := range s.Names {
		path := found.Paths.Of(name)
		m := inspectedMark{name: name, colour: markColour(name), candidates: path.Offered, chosen: path.Chosen, refused: path.Refused, score: path.Score, rival: path.Rival}
		if m.candidates == nil {
			m.candidates = s.Patches[i]
		}
		m.samples = path.Samples
		if len(study.Swings) > 0 {
			// As they were measured, with what was filled in.
			m.samples = study.Samples(name)
		}
		m.sort(len(s.TimesS))
		in.marks = append(in.marks, m)
	}
	for i, b := range found.Track.Balls {
		for k, samples := range [][]metrics.Sample{b.In, b.Out} {
			if len(samples) > 0 {
				in.flights = append(in.flights, newFlight(i, k == 1, samples, found.Ruler))
			}
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

// spoken is a mark's name as people write it.
func spoken(name string) string { return strings.ReplaceAll(name, "_", " ") }
