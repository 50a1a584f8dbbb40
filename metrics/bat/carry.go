package bat

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// reach is how far from contact the bat was fitted.
func (b *Bat) reach() float64 {
	from, to := b.knots.Span()
	tc := b.contactS
	return math.Max(math.Max(tc-from, to-tc), growFromS)
}

// beyond samples the bat and carries it on at even speed to reach from contact.
func (b *Bat) beyond(reach float64) []startPose {
	from, to := b.knots.Span()
	tc := b.contactS
	var out []startPose
	first, last := b.At(from, fit.After), b.At(to, fit.Before)
	for t := tc - reach; t < from; t += growSampleS {
		out = append(out, first.carried(t, t-from))
	}
	for t := from; t <= to; t += growSampleS {
		p := b.At(t, fit.Before)
		out = append(out, startPose{TimeS: t, Hands: p.Hands, Dir: p.Dir})
	}
	for t := to + growSampleS; t < tc+reach; t += growSampleS {
		out = append(out, last.carried(t, t-to))
	}
	return out
}

// carried is the pose a while later if it turns and moves evenly; what is far
// ahead it does not know and stands still.
func (p Pose) carried(timeS, ahead float64) startPose {
	ahead = math.Max(-growCarryS, math.Min(ahead, growCarryS))
	w := r3.Cross(p.Dir, p.DirV)
	angle := math.Sqrt(r3.Dot(w, w)) * ahead
	k := geom.Unit(w)
	c, s := math.Cos(angle), math.Sin(angle)
	q := r3.Cross(k, p.Dir)
	return startPose{
		TimeS: timeS,
		Hands: geom.Along(p.Hands, ahead, p.HandsV),
		Dir:   geom.Along(r3.Scale(c, p.Dir), s, q),
	}
}
