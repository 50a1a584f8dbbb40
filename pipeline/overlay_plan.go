package pipeline

import (
	"math"
	"sort"

	"ashline/pipeline/footage"
)

// Speeds of the overlay: seconds of capture that one shown frame stands for.
// At 30 frames a second they slow the swing down 2.7, 4, 8 and 16 times.
const (
	overlayFPS  = 30.0
	realPaceS   = 1.0 / overlayFPS
	outsideS    = 1.0 / 80
	swingPaceS  = 1.0 / 120
	approachS   = 1.0 / 240
	zonePaceS   = 1.0 / 480
	approachFor = 0.060 // each side of contact
	zoneFor     = 0.025
	// mostRepeats bounds how often one frame is shown, so that a clip of few
	// frames a second does not come to a halt.
	mostRepeats = 4
	contactHold = 18 // shown frames: 0.6 s
	keyHold     = 9  // of each other key position: 0.3 s
	endHold     = 24 // 0.8 s
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

// moments are the times of a swing on the clip's clock, s, that set the pace.
type moments struct {
	startS, endS       float64 // what is shown
	launchS, finishS   float64
	contactS           float64
	zoneFromS, zoneToS float64
	keysS              []float64 // the other key positions, in any order
	real               bool      // normal speed away from contact
}

// pace is how much capture time one shown frame stands for at t.
func (m moments) pace(t float64) float64 {
	switch d := math.Abs(t - m.contactS); {
	case d <= zoneFor || t >= m.zoneFromS && t <= m.zoneToS:
		return zonePaceS
	case d <= approachFor:
		return approachS
	case m.real:
		return realPaceS
	case t >= m.launchS && t <= m.finishS:
		return swingPaceS
	}
	return outsideS
}

// plan chooses the frames that are shown, by time and not by number, so that
// clips of any rate and of uneven rates play alike. The frames nearest to the key
// positions and the last one are held.
func plan(timesS []float64, m moments) []shot {
	from := sort.SearchFloat64s(timesS, m.startS)
	to := sort.Search(len(timesS), func(i int) bool { return timesS[i] > m.endS })
	holds := map[int]int{}
	for _, t := range m.keysS {
		holds[footage.Nearest(timesS, t)] = keyHold
	}
	holds[footage.Nearest(timesS, m.contactS)] = contactHold
	var out []shot
	owed := 1.0
	for i := from; i < to; i++ {
		if i > from {
			owed += (timesS[i] - timesS[i-1]) / m.pace(timesS[i])
		}
		// The small part keeps rounding from taking a frame that is due.
		n := min(int(owed+1e-6), mostRepeats)
		owed = math.Max(0, math.Min(owed-float64(n), 1))
		if hold := holds[i]; hold > 0 {
			n = max(n, 1) + hold
		}
		if i == to-1 {
			n = max(n, 1) + endHold
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
