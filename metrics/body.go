package metrics

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// body is where the joints are, shown where the picture shows them at the scale of
// the plane of the pitch, m.
type body struct {
	joints map[string]func(t float64) ([2]float64, bool)
	pairM  float64 // error of the distance of two joints
	// upperM and foreM are how long upper arm and forearm are seen at most.
	upperM, foreM float64
}

// body places the joints; with rng a random one of the bodies that were seen.
func jointsOf(in paths, v geom.View, tc float64, rng *rand.Rand) body {
	b := body{joints: map[string]func(t float64) ([2]float64, bool){}}
	names := slices.Sorted(maps.Keys(in.limbs))
	for _, name := range names {
		l := in.limbs[name]
		path := oneOf(l.smooth, rng)
		b.joints[name] = func(t float64) ([2]float64, bool) {
			if !l.known(t) {
				return [2]float64{}, false
			}
			px, _, _ := path.Side(t, fit.Before)
			w := v.At(geom.Point{px[0], px[1]}, 0)
			return [2]float64{w.X, w.Z}, true
		}
	}
	b.upperM = b.longest(leadShoulder, leadElbow, tc-usualSwingS, tc)
	b.foreM = b.longest(leadElbow, leadWrist, tc-usualSwingS, tc)
	if rng == nil {
		return b
	}
	out := body{joints: map[string]func(t float64) ([2]float64, bool){}, pairM: depthPairM * rng.NormFloat64(), upperM: b.upperM, foreM: b.foreM}
	for _, name := range names {
		at, off, sd, l := b.joints[name], newAstray(1, tc, rng), aside[name], in.limbs[name]
		if l.net {
			sd = netAside
		}
		out.joints[name] = func(t float64) ([2]float64, bool) {
			p, ok := at(t)
			u := towards(p, b.at(leadElbow, t))
			if sd.along == sd.across || math.IsNaN(u[0]) {
				u = [2]float64{1, 0}
			}
			e, _ := off.at(t)
			along, across := sd.along*e[0], sd.across*e[1]
			if !l.net {
				hidden := l.hidden(t)
				across *= wholeOff + hidden
				if sd.along == sd.across {
					along *= wholeOff + hidden
				}
			}
			return [2]float64{p[0] + along*u[0] - across*u[1], p[1] + along*u[1] + across*u[0]}, ok
		}
	}
	return out
}

// at is a joint's place, NaN where it is not known.
func (b body) at(name string, t float64) [2]float64 {
	if f := b.joints[name]; f != nil {
		if p, ok := f(t); ok {
			return p
		}
	}
	return [2]float64{math.NaN(), math.NaN()}
}

// elbow is the angle of the lead elbow in the picture, degrees. A band around an
// elbow is seen on both sides of it, so that its middle is on the inside of the bend:
// half a half's length along each limb, as far as the limb does not point out of the
// picture, weighed by how much of each half is to be seen.
func (b body) elbow(t, bandM float64) float64 {
	s, e, w := b.at(leadShoulder, t), b.at(leadElbow, t), b.at(leadWrist, t)
	at := e
	for range 3 {
		u, v := towards(at, s), towards(at, w)
		fu, fv := share(at, s, b.upperM), share(at, w, b.foreM)
		au, av := fu+endShare, fv+endShare
		k := bandM / 4 / (au + av)
		for i := range at {
			at[i] = e[i] - k*(au*fu*u[i]+av*fv*v[i])
		}
	}
	return angleAt(s, at, w)
}

// share is how long a limb is seen from a to b of how long it ever is, 1 when that is
// not known.
func share(a, b [2]float64, longest float64) float64 {
	if !(longest > 0) {
		return 1
	}
	return math.Min(1, math.Hypot(b[0]-a[0], b[1]-a[1])/longest)
}

// longest is the most of a limb that is seen in a span of time.
func (b body) longest(p, q string, fromS, toS float64) float64 {
	most := 0.0
	for t := fromS; t <= toS; t += 4 * courseStepS {
		u, v := b.at(p, t), b.at(q, t)
		if l := math.Hypot(u[0]-v[0], u[1]-v[1]); l > most { // not where it is hidden
			most = l
		}
	}
	return most
}

// end names what tells where the lead end of the shoulders' line is.
func (b body) end() string {
	if b.joints[ShoulderEnd] != nil {
		return ShoulderEnd
	}
	return leadShoulder
}

// shoulders is the direction from back to lead shoulder in the picture, degrees.
func (b body) shoulders(t float64) float64 {
	p, q := b.at(backShoulder, t), b.at(b.end(), t)
	return math.Atan2(q[1]-p[1], q[0]-p[0]) * 180 / math.Pi
}

// angleAt is the angle at b between a and c, degrees.
func angleAt(a, b, c [2]float64) float64 {
	u, v := towards(b, a), towards(b, c)
	return math.Abs(math.Atan2(u[0]*v[1]-u[1]*v[0], u[0]*v[0]+u[1]*v[1])) * 180 / math.Pi
}

// elbowBandM is the width of the lead elbow's band; 0 where the network finds the
// elbow.
func elbowBandM(in paths) float64 {
	if in.limbs[leadElbow].net {
		return 0
	}
	if m := in.card.Marks.LeadElbow; m != nil && m.WidthM > 0 {
		return m.WidthM
	}
	return bandWidthM
}

// foreshortened says of an angle in the picture how far its arm points out of it, when
// it does: judged by how much longer the arm was seen at another time of the swing.
func (b body) foreshortened(t float64) string {
	for _, part := range []struct {
		name, a, b string
		longest    float64
	}{{"upper arm", leadShoulder, leadElbow, b.upperM}, {"forearm", leadElbow, leadWrist, b.foreM}} {
		if out := math.Acos(share(b.at(part.a, t), b.at(part.b, t), part.longest)) * 180 / math.Pi; out > foreshortDeg {
			return fmt.Sprintf("the angle in the picture: the %s points about %.0f° out of it, so that the joint's own angle is another", part.name, out)
		}
	}
	return ""
}
