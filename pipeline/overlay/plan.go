package overlay

import (
	"math"
	"sort"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/footage"
)

// Pace is how fast the overlay shows what is not around contact.
type Pace string

// The paces. Around contact all of them are slow motion.
const (
	SlowPace Pace = "slow" // the whole swing in slow motion, slowest in the zone
	RealPace Pace = "real" // as it was, but for 60 ms to each side of contact
)

// Paces are all of them, the default first.
var Paces = []Pace{SlowPace, RealPace}

// shot is one frame of the clip and how often the overlay shows it.
type shot struct {
	frame int
	times int
}

// Moments are the times of a swing on the clip's clock, s, that set the pace.
type Moments struct {
	StartS, EndS       float64 // the part that is shown
	LaunchS, FinishS   float64
	ContactS           float64
	ZoneFromS, ZoneToS float64
	KeysS              []float64 // the other key positions, in any order
	Real               bool      // normal speed away from contact
}

// MomentsOf are the moments of swing i.
func MomentsOf(study metrics.Study, i int, timesS []float64) Moments {
	cur, sw := study.Swings[i], study.Result.Swings[i]
	tc := cur.ContactS
	at := func(k metrics.Key, otherwise float64) float64 {
		if k.TimeS == nil {
			return tc + otherwise
		}
		return tc + *k.TimeS
	}
	m := Moments{ContactS: tc, LaunchS: at(sw.Keys.Launch, -noLaunchS), FinishS: at(sw.Keys.Finish, noFinishS-leadOutS)}
	m.ZoneFromS, m.ZoneToS = tc+sw.Metrics[catalogue.ZoneEnterS].Float(), tc+sw.Metrics[catalogue.ZoneLeaveS].Float()
	for _, k := range []metrics.Key{sw.Keys.Launch, sw.Keys.Slot, sw.Keys.Lag, sw.Keys.Finish} {
		if k.TimeS != nil {
			m.KeysS = append(m.KeysS, tc+*k.TimeS)
		}
	}
	m.StartS, m.EndS = m.LaunchS-leadInS, m.FinishS+leadOutS
	if sp := cur.Span; sp.From >= 0 && sp.From < sp.To && sp.To <= len(timesS) {
		m.StartS, m.EndS = math.Max(m.StartS, timesS[sp.From]), math.Min(m.EndS, timesS[sp.To-1])
	}
	return m
}

// StepS is how much capture time one shown frame stands for at t.
func (m Moments) StepS(t float64) float64 {
	switch d := math.Abs(t - m.ContactS); {
	case d <= zoneFor || t >= m.ZoneFromS && t <= m.ZoneToS:
		return zonePaceS
	case d <= approachFor:
		return approachS
	case m.Real:
		return realPaceS
	case t >= m.LaunchS && t <= m.FinishS:
		return swingPaceS
	}
	return outsideS
}

// plan chooses the frames that are shown, by time and not by number, so that
// clips of any rate and of uneven rates play alike. The frames nearest to the key
// positions and the last one are held.
func plan(timesS []float64, m Moments) []shot {
	from := sort.SearchFloat64s(timesS, m.StartS)
	to := sort.Search(len(timesS), func(i int) bool { return timesS[i] > m.EndS })
	holds := map[int]int{}
	for _, t := range m.KeysS {
		holds[footage.Nearest(timesS, t)] = KeyHold
	}
	holds[footage.Nearest(timesS, m.ContactS)] = ContactHold
	var out []shot
	owed := 1.0
	for i := from; i < to; i++ {
		if i > from {
			owed += (timesS[i] - timesS[i-1]) / m.StepS(timesS[i])
		}
		// The small part keeps rounding from taking a frame that is due.
		n := min(int(owed+1e-6), mostRepeats)
		owed = math.Max(0, math.Min(owed-float64(n), 1))
		if hold := holds[i]; hold > 0 {
			n = max(n, 1) + hold
		}
		if i == to-1 {
			n = max(n, 1) + EndHold
		}
		if n > 0 {
			out = append(out, shot{i, n})
		}
	}
	return out
}

// shown is the number of frames the shots come to.
func shown(shots []shot) int {
	n := 0
	for _, s := range shots {
		n += s.times
	}
	return n
}

// reached reports whether the frame at timeS, of a clip whose frames are frameS apart, is
// the nearest one to at, or later.
func reached(at, timeS, frameS float64) bool { return timeS >= at-reachedShare*frameS }
