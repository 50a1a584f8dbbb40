package metrics

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"strings"

	"ashline/metrics/catalogue"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// The marks on the body, by the names they have on the card.
const (
	leadElbow    = "lead_elbow"
	leadShoulder = "lead_shoulder"
	leadWrist    = "lead_wrist"
	backElbow    = "back_elbow"
	backHip      = "back_hip"
	beltBuckle   = "belt_buckle"
	backShoulder = "back_shoulder" // these two are seen by a pose network alone
	head         = "head"
)

// ShoulderEnd names the lead end of the shoulders' line for Curves.Joint: the lead
// shoulder, by the network where it sees it. A strap around the sleeve turns with the
// arm, and is a hand's breadth below the shoulders' line.
const ShoulderEnd = "shoulder_end"

const (
	// jointGapS is the longest gap between two sightings of a joint over which it is
	// carried: an arm turns by less than 20° in that.
	jointGapS = 0.05
	// A band that is seen at wholeWide of its width is whole, at partWide surely not.
	wholeWide, partWide = 0.90, 0.70
	// wholeOff is how far the middle of a band that is all seen is off, of how far it is
	// when nearly all of it is covered.
	wholeOff = 0.15
	// endShare is what is seen of half a band that points at the camera, of the whole
	// half.
	endShare = 0.5
	// hiddenNearerM is how much nearer elbow and hip may come while hidden.
	hiddenNearerM = 0.05
	// straightDeg is the angle from which an arm is called straight.
	straightDeg = 160
	// foreshortDeg is how far a limb points out of the picture when the angle seen is
	// no longer near the joint's own.
	foreshortDeg = 30.0
)

// offAxis is how far the middle of what is seen of a band is from the joint, m (s.d.):
// along the limb towards the lead elbow, where a band may sit anywhere without turning
// it, and across it when nearly all of the band is covered.
type offAxis struct{ along, across float64 }

// aside are these by joint, from scenes of known truth; netAside is the same of what
// the network finds, of which nothing is known to be covered.
var (
	aside = map[string]offAxis{
		leadShoulder: {0.06, 0.020}, leadWrist: {0.02, 0.013}, leadElbow: {0.013, 0.013},
		backElbow: {0.012, 0.012}, backHip: {0.008, 0.008}, beltBuckle: {0.012, 0.012},
	}
	netAside = offAxis{0.03, 0.03}
)

// depthPairM is what perspective adds to the distance of two joints of which one is
// nearer to the camera, m.
const depthPairM = 0.006

// limb is one joint's path during a swing.
type limb struct {
	seen   []Sample
	smooth *fit.Smoothed
	net    bool    // found by the pose network
	whole  float64 // the most of its colour that was seen, px²
}

// limbsOf are the joints that were seen often enough to have a path: by their band,
// else by the network.
func limbsOf(t Track, sp Span) map[string]limb {
	out := map[string]limb{}
	for _, from := range []struct {
		joints map[string][]Sample
		net    bool
	}{{t.Pose, true}, {t.Joints, false}} {
		for name, s := range from.joints {
			s = inSpan(s, sp)
			if m := smoothPx(s, nil); m != nil {
				out[name] = limb{s, m, from.net, mostColour(s)}
			}
		}
	}
	if l := out[leadShoulder]; !l.net {
		s := inSpan(t.Pose[leadShoulder], sp)
		if m := smoothPx(s, nil); m != nil {
			out[ShoulderEnd] = limb{s, m, true, 0}
		}
	}
	return uncovered(out)
}

// mostColour is the 90th percentile of the colour of samples, px².
func mostColour(s []Sample) float64 {
	v := make([]float64, len(s))
	for i, x := range s {
		v[i] = x.Shape.Mass
	}
	slices.Sort(v)
	return v[len(v)*9/10]
}

// uncovered moves what is seen of the lead shoulder's band to the band's middle. The
// trunk, behind which an arm goes, covers one side of it; what is left is narrower
// than the band ever was, across the arm, by twice what its middle is off.
func uncovered(limbs map[string]limb) map[string]limb {
	arm, elbow := limbs[leadShoulder], limbs[leadElbow]
	trunk, ok := limbs[backHip]
	if !ok {
		trunk, ok = limbs[beltBuckle]
	}
	if !ok || arm.smooth == nil || elbow.smooth == nil || arm.net {
		return limbs
	}
	at := func(l limb, t float64) geom.Point {
		p, _, _ := l.smooth.Mean().Side(t, fit.Before)
		return p
	}
	across := make([]geom.Point, len(arm.seen))
	wide := make([]float64, len(arm.seen))
	for i, s := range arm.seen {
		u := towards(geom.Point{s.XPx, s.YPx}, at(elbow, s.TimeS))
		n := geom.Point{-u[1], u[0]}
		if to := at(trunk, s.TimeS); n[0]*(to[0]-s.XPx)+n[1]*(to[1]-s.YPx) < 0 {
			n = geom.Point{u[1], -u[0]}
		}
		across[i] = n
		wide[i] = math.Sqrt(12 * math.Max(0, n[0]*n[0]*s.Shape.SXX+2*n[0]*n[1]*s.Shape.SXY+n[1]*n[1]*s.Shape.SYY))
	}
	whole := slices.Sorted(slices.Values(wide))
	full := whole[len(whole)*9/10]
	seen := slices.Clone(arm.seen)
	for i := range seen {
		// A little narrower is light and shade, half as wide is a covered half.
		covered := math.Max(0, math.Min(1, (wholeWide-wide[i]/full)/(wholeWide-partWide)))
		off := covered * (full - wide[i]) / 2
		if math.IsNaN(off) || math.IsNaN(across[i][0]) {
			continue
		}
		s := &seen[i]
		s.XPx += off * across[i][0]
		s.YPx += off * across[i][1]
		s.VarXX += off * off / 9
		s.VarYY += off * off / 9
	}
	if m := smoothPx(seen, nil); m != nil {
		limbs[leadShoulder] = limb{seen, m, false, arm.whole}
	}
	return limbs
}

// known reports whether the joint was seen close enough before and after t.
func (l limb) known(t float64) bool {
	i := sort.Search(len(l.seen), func(i int) bool { return l.seen[i].TimeS >= t })
	if i < len(l.seen) && l.seen[i].TimeS == t {
		return true
	}
	return i > 0 && i < len(l.seen) && l.seen[i].TimeS-l.seen[i-1].TimeS <= jointGapS
}

// hidden is how much of the band is covered, or turned away, at t: the share that its
// colour lacks of the most that was seen of it.
func (l limb) hidden(t float64) float64 {
	if !(l.whole > 0) || len(l.seen) == 0 {
		return 0
	}
	i := min(sort.Search(len(l.seen), func(i int) bool { return l.seen[i].TimeS >= t }), len(l.seen)-1)
	return math.Max(0, math.Min(1, 1-l.seen[i].Shape.Mass/l.whole))
}

// Joint is where a joint of JointNames or PoseNames, or ShoulderEnd, is at t, px of
// the steadied picture; false where it was hidden.
func (c Curves) Joint(name string, t float64) (geom.Point, bool) {
	l, ok := c.limbs[name]
	if !ok && name == ShoulderEnd {
		l, ok = c.limbs[leadShoulder]
	}
	if !ok || !l.known(t) {
		return geom.Point{}, false
	}
	p, _, _ := l.smooth.Mean().Side(t, fit.Before)
	return geom.Point{p[0], p[1]}, true
}

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

// towards is the unit direction from a to b.
func towards(a, b [2]float64) [2]float64 {
	x, y := b[0]-a[0], b[1]-a[1]
	l := math.Hypot(x, y)
	return [2]float64{x / l, y / l}
}

// fillBody computes what the body does at the key positions: launch and lag on the
// clip's clock, NaN where not known.
func (c course) fillBody(f *figures, b body, launch, lag, bandM float64) {
	f.metric[catalogue.BodyLeadElbowContactDeg] = b.elbow(c.tc, bandM)
	f.metric[catalogue.BodyLeadElbowLagDeg] = b.elbow(lag, bandM)
	if math.IsNaN(launch) {
		return
	}
	f.metric[catalogue.BodyLeadElbowLaunchDeg] = b.elbow(launch, bandM)
	f.metric[catalogue.BodyLeadElbowStraightS] = c.straight(b, launch, bandM)
	slot, closest := c.slot(b, launch)
	f.metric[catalogue.BodyLeadElbowSlotDeg] = b.elbow(slot, bandM)
	f.keyS[catalogue.Slot] = slot - c.tc
	f.metric[catalogue.BodyShoulderOpenDeg] = math.Remainder(b.shoulders(slot)-b.shoulders(launch), 360)
	if !c.scaled {
		return
	}
	from, to := b.at(head, launch), b.at(head, c.tc)
	f.metric[catalogue.BodyHeadDriftM] = c.stretch * math.Hypot(to[0]-from[0], to[1]-from[1])
	f.metric[catalogue.BodyElbowHipSlotM] = c.stretch * math.Abs(closest+b.pairM)
	if c.shown == nil {
		return
	}
	if !math.IsNaN(slot) {
		h, _ := c.shown(slot)
		f.metric[catalogue.BodyHandsElbowSlotM] = c.stretch * math.Abs(h[0]-b.at(backElbow, slot)[0]+b.pairM)
	}
	if !math.IsNaN(lag) {
		h, _ := c.shown(lag)
		f.metric[catalogue.BodyHandsBuckleLagM] = c.stretch * (h[0] - b.at(beltBuckle, lag)[0] + b.pairM)
	}
}

// slot is when back elbow and back hip are horizontally closest between launch and
// contact, and how close, m. NaN when they may have been closest while one of them
// was hidden.
func (c course) slot(b body, launch float64) (slot, closest float64) {
	slot, closest = math.NaN(), math.Inf(1)
	last, hidden := math.NaN(), false
	unseen := math.Inf(1) // the least distance that they may have had while hidden
	for t := launch; t <= c.tc; t += courseStepS {
		d := b.at(backElbow, t)[0] - b.at(backHip, t)[0]
		switch {
		case math.IsNaN(d):
			hidden = true
			if !math.IsNaN(last) {
				unseen = math.Min(unseen, math.Abs(last)-hiddenNearerM)
			}
			continue
		case hidden && last*d < 0: // they passed each other
			unseen = 0
		case hidden:
			unseen = math.Min(unseen, math.Abs(d)-hiddenNearerM)
		}
		last, hidden = d, false
		if math.Abs(d) < closest {
			slot, closest = t, math.Abs(d)
		}
	}
	if !(unseen > closest) {
		return math.NaN(), math.NaN()
	}
	return slot, closest
}

// straight is how long before contact the lead arm is first straight; NaN when it
// never is, or was not seen from launch until then.
func (c course) straight(b body, launch, bandM float64) float64 {
	for t := launch; t <= c.tc; t += 2 * courseStepS {
		switch a := b.elbow(t, bandM); {
		case math.IsNaN(a):
			return math.NaN()
		case a >= straightDeg:
			return c.tc - t
		}
	}
	return math.NaN()
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

// lackJoints is why joints are not known at t, called when; empty when all are. With t
// NaN it asks only whether they were seen at all.
func lackJoints(s sighted, joints []catalogue.Joint, t float64, when string) string {
	var unworn, unseen, covered []string
	for _, j := range joints {
		switch l, ok := s.limbs[limbOf(s, j)]; {
		case ok:
			if !math.IsNaN(t) && !l.known(t) {
				covered = append(covered, spoken(j))
			}
		case s.card.Marks.Joint(limbOf(s, j)) == nil:
			unworn = append(unworn, spoken(j))
		default:
			unseen = append(unseen, spoken(j))
		}
	}
	switch {
	case len(unworn) > 0:
		return "no mark on " + strings.Join(unworn, ", ") + " on the card, and no pose network found it"
	case len(unseen) > 0:
		return "the mark on " + strings.Join(unseen, ", ") + " was not seen"
	case len(covered) > 0:
		return strings.Join(covered, " and ") + " hidden " + when
	}
	return ""
}

// byNetwork says which of the joints the pose network found; empty when none.
func byNetwork(s sighted, joints []catalogue.Joint) string {
	var found []string
	for _, j := range joints {
		if s.limbs[limbOf(s, j)].net {
			found = append(found, spoken(j))
		}
	}
	if len(found) == 0 {
		return ""
	}
	return strings.Join(found, ", ") + " found by the pose network, not by a mark"
}

// limbOf names the limb that shows a joint.
func limbOf(s sighted, j catalogue.Joint) string {
	if _, ok := s.limbs[ShoulderEnd]; j == catalogue.ShoulderEnd && !ok {
		return leadShoulder
	}
	return string(j)
}

// spoken is a joint's name in a sentence.
func spoken(j catalogue.Joint) string {
	if j == catalogue.ShoulderEnd {
		j = catalogue.LeadShoulder
	}
	return strings.ReplaceAll(string(j), "_", " ")
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
