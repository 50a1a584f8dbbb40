package compare

import (
	"math"

	"ashline/metrics"
	"ashline/pipeline/overlay"
)

// Align says how two clips are put in step.
type Align string

// The two ways.
const (
	// AlignKeys stretches the second clip's time between key positions so that each
	// falls on the same frame in both.
	AlignKeys Align = "keys"
	// AlignContact leaves time as it was and puts contact on the same frame.
	AlignContact Align = "contact"
)

// Aligns are both, the default first.
var Aligns = []Align{AlignKeys, AlignContact}

// pair is one frame of a comparison: the time in each clip, s on its own clock.
type pair struct {
	at   [2]float64
	hold int // frames that it is shown longer
}

// SharedKey is a key position that both clips have, in a comparison's video.
type SharedKey struct {
	Name  string `json:"name"`
	Frame int    `json:"frame"` // of the video, counted from 0
}

// anchor is an instant that both clips show on the same frame.
type anchor struct {
	name string // of the key position; empty for the ends
	at   [2]float64
	hold int
}

// keysInStep are those key positions that a comparison may put on the same frame. Slot
// is left out: it hangs on bands that not every clip has.
var keysInStep = []string{"launch", "lag", "contact", "finish"}

// anchors are the instants that two swings share, in the order of time.
func anchors(a Align, m [2]overlay.Moments, keys [2]metrics.Keys) []anchor {
	var out []anchor
	for _, name := range keysInStep {
		if a == AlignContact && name != "contact" {
			continue
		}
		k := anchor{name: name, hold: overlay.KeyHold}
		known := true
		for i := range k.at {
			t := keys[i].Of(name).TimeS
			if t == nil {
				known = false
				break
			}
			k.at[i] = m[i].ContactS + *t
			// A key position that is out of order in either would run time backwards.
			known = known && (len(out) == 0 || k.at[i] > out[len(out)-1].at[i])
		}
		if name == "contact" {
			k.hold = overlay.ContactHold
		}
		if known {
			out = append(out, k)
		}
	}
	if len(out) == 0 {
		return nil
	}
	// Before the first and after the last, time runs alike in both, as long as either
	// has something to show.
	first, last := out[0], out[len(out)-1]
	before := math.Max(first.at[0]-m[0].StartS, first.at[1]-m[1].StartS)
	after := math.Max(m[0].EndS-last.at[0], m[1].EndS-last.at[1])
	start := anchor{at: [2]float64{first.at[0] - before, first.at[1] - before}}
	end := anchor{at: [2]float64{last.at[0] + after, last.at[1] + after}, hold: overlay.EndHold}
	return append(append([]anchor{start}, out...), end)
}

// inStep are the frames of a comparison. The first clip sets the pace; between two
// anchors the first one's time, stretched, is the second one's.
func inStep(m overlay.Moments, anchors []anchor) (frames []pair, keys []SharedKey) {
	shown := 0
	add := func(p pair) {
		frames = append(frames, p)
		shown += 1 + p.hold
	}
	for i, a := range anchors {
		if i > 0 {
			b := anchors[i-1]
			steps := stepsBetween(m, b.at[0], a.at[0])
			for k := range steps {
				u := (steps[k] - b.at[0]) / (a.at[0] - b.at[0])
				add(pair{at: [2]float64{steps[k], b.at[1] + u*(a.at[1]-b.at[1])}})
			}
		}
		if a.name != "" {
			keys = append(keys, SharedKey{a.name, shown})
		}
		add(pair{at: a.at, hold: a.hold})
	}
	return frames, keys
}

// stepsBetween are the times of the frames between from and to, without these two, at
// the pace of m, evened out so that to falls on a frame.
func stepsBetween(m overlay.Moments, from, to float64) []float64 {
	var out []float64
	t := from
	for t += m.StepS(t); t < to; t += m.StepS(t) {
		out = append(out, t)
	}
	if len(out) == 0 {
		return nil
	}
	k := (to - from) / (t - from)
	for i := range out {
		out[i] = from + k*(out[i]-from)
	}
	return out
}
