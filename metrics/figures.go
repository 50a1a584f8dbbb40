package metrics

import (
	"math"
	"sort"
)

// figure numbers the metrics of one swing that come out of one evaluation of
// the motion; an evaluation is repeated on random motions for the intervals.
type figure int

const (
	fContact figure = iota // s on the clip's clock
	fDescent
	fPitchSpeed
	fAttack
	fGap
	fOffset
	fEnter
	fLeave
	fDuration
	fLength
	fBehind
	fAhead
	fNearEnter
	fNearLeave
	fNearDuration
	fAlongEnter
	fAlongLeave
	fAlongDuration
	fSolidEarly
	fSolidLate
	fSolidWindow
	fAnyEarly
	fAnyLate
	fAnyWindow
	fBarrelContact
	fBarrelPeak
	fHandsPeak
	fLaunch // s from contact
	fLag
	fFinish
	fHandsPath
	fHandsStraight
	fFinishHeight
	fExtension
	fExtensionS
	fSlot // s from contact
	fElbowLaunch
	fElbowSlot
	fElbowLag
	fElbowContact
	fElbowStraight // s before contact
	fElbowHip
	fHandsElbow
	fHandsBuckle
	fAboveShoulder
	fHeadDrift
	fShoulderOpen
	figureCount
)

// figures holds one evaluation; NaN where a figure is not known.
type figures [figureCount]float64

func noFigures() figures {
	var f figures
	for i := range f {
		f[i] = math.NaN()
	}
	return f
}

// spread collects evaluations on random motions.
type spread struct {
	draws []figures
}

// interval is the 95 % interval of a figure around its value, within what the figure
// can be.
func (s spread) interval(k figure, value float64) (low, high float64) {
	low, high = s.intervalOf(func(f figures) float64 { return f[k] }, value)
	least, most := k.bounds()
	return min(max(low, least), value), max(min(high, most), value)
}

// intervalOf is the same of a number that follows from figures: the draws' quantiles,
// shifted so that the middle of the draws falls on the value. Too few finite draws
// give no interval.
func (s spread) intervalOf(get func(figures) float64, value float64) (low, high float64) {
	var v []float64
	for _, d := range s.draws {
		if x := get(d); !math.IsNaN(x) && !math.IsInf(x, 0) {
			v = append(v, x)
		}
	}
	if len(v) < 20 || 2*len(v) < len(s.draws) {
		return math.NaN(), math.NaN()
	}
	sort.Float64s(v)
	shift := value - quantile(v, 0.5)
	lo, hi := quantile(v, 0.025)+shift, quantile(v, 0.975)+shift
	return math.Min(lo, value), math.Max(hi, value)
}

// bounds are the least and the most that a figure can be.
func (k figure) bounds() (least, most float64) {
	switch k {
	case fPitchSpeed, fDuration, fLength, fNearDuration, fAlongDuration, fSolidWindow, fAnyWindow,
		fBarrelContact, fBarrelPeak, fHandsPeak, fHandsPath, fFinish, fFinishHeight, fExtension, fExtensionS,
		fElbowStraight, fElbowHip, fHandsElbow, fHeadDrift:
		return 0, math.Inf(1)
	case fHandsStraight:
		return 0, 1
	case fElbowLaunch, fElbowSlot, fElbowLag, fElbowContact:
		return 0, 180
	}
	return math.Inf(-1), math.Inf(1)
}

// quantile interpolates a sorted sample.
func quantile(v []float64, p float64) float64 {
	x := p * float64(len(v)-1)
	i := int(x)
	if i+1 >= len(v) {
		return v[len(v)-1]
	}
	return v[i] + (x-float64(i))*(v[i+1]-v[i])
}
