package metrics

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"ashline/metrics/catalogue"
	"ashline/metrics/geom"
)

// swing writes one swing's result from its figures and their spread.
func swingOf(in paths, index int, t Track, m motion, f figures, s spread) Swing {
	val := func(k catalogue.Metric, unit, lacking string) Value {
		if math.IsNaN(f.metric[k]) {
			return Lacking(unit, lacking)
		}
		lo, hi := s.interval(k, f.metric[k])
		return Got(f.metric[k], lo, hi, unit)
	}
	noLine := "no pitch line: the ball was not seen and the card draws none"
	noScale := noLine
	if !in.scale.known() {
		noScale = unscaled
	}
	sw := Swing{Index: index}
	sw.Keys = keysOf(in, t, m, f)
	sw.Pitch = PitchLine{Line: lineSource(in.card, m), DescentDeg: val(catalogue.PitchDescentDeg, "deg", noLine), SpeedMPS: val(catalogue.PitchSpeedMPS, "m/s", noScale)}
	sw.Plane = SwingPlane{AttackDeg: val(catalogue.PlaneAttackDeg, "deg", ""), GapDeg: val(catalogue.PlaneGapDeg, "deg", noLine), OffsetM: val(catalogue.PlaneOffsetM, "m", noScale)}
	never := noScale
	if m.contact.Pitched && in.scale.known() {
		never = "the barrel is never near the pitch line and along it"
	}
	run := func(enter, leave, duration catalogue.Metric) Run {
		return Run{val(enter, "s", never), val(leave, "s", never), val(duration, "s", never)}
	}
	sw.Zone = Zone{
		Run: run(catalogue.ZoneEnterS, catalogue.ZoneLeaveS, catalogue.ZoneDurationS), LengthM: val(catalogue.ZoneLengthM, "m", never), BehindM: val(catalogue.ZoneBehindM, "m", never), AheadM: val(catalogue.ZoneAheadM, "m", never),
		Near: run(catalogue.ZoneNearEnterS, catalogue.ZoneNearLeaveS, catalogue.ZoneNearDurationS), Along: run(catalogue.ZoneAlongEnterS, catalogue.ZoneAlongLeaveS, catalogue.ZoneAlongDurationS),
	}
	noTouch := noScale
	if m.contact.Pitched && in.scale.known() {
		noTouch = "at no shift of the swing would barrel and ball have met so"
	}
	sw.Timing = Timing{
		Solid: Window{val(catalogue.TimingSolidEarlyS, "s", noTouch), val(catalogue.TimingSolidLateS, "s", noTouch), val(catalogue.TimingSolidWindowS, "s", noTouch)},
		Any:   Window{val(catalogue.TimingAnyEarlyS, "s", noTouch), val(catalogue.TimingAnyLateS, "s", noTouch), val(catalogue.TimingAnyWindowS, "s", noTouch)},
	}
	noHands := lackHands(in, m, f)
	sw.Speed = Speed{val(catalogue.SpeedBarrelContactMPS, "m/s", noScale), val(catalogue.SpeedBarrelPeakMPS, "m/s", noScale), val(catalogue.SpeedHandsPeakMPS, "m/s", noHands)}
	sw.Tempo = Tempo{
		LaunchContactS: val(catalogue.TempoLaunchContactS, "s", noLaunch),
		LaunchLagS:     val(catalogue.TempoLaunchLagS, "s", noHands), LagContactS: val(catalogue.TempoLagContactS, "s", noHands),
	}
	sw.Body = bodyOf(in, m, f, val)
	sw.Body.HandsPathM = val(catalogue.BodyHandsPathM, "m", noHands)
	sw.Body.HandsStraightness = val(catalogue.BodyHandsStraightness, "1", noHands)
	noFinish, noHeight := "the barrel was lost before the finish", "the barrel was lost before the finish"
	if !in.scale.known() {
		noHeight = unscaled
	}
	aboveWhy := noHeight
	if !math.IsNaN(f.metric[catalogue.FinishHeightM]) {
		aboveWhy = lackJoints(in, "at the finish", m.contact.TimeS+f.keyS[catalogue.Finish], leadShoulder)
	}
	sw.Finish = FinishShape{
		HeightM: val(catalogue.FinishHeightM, "m", noHeight), AboveShoulderM: val(catalogue.FinishAboveShoulderM, "m", aboveWhy),
		ExtensionM: val(catalogue.FinishExtensionM, "m", noHeight), ExtensionS: val(catalogue.FinishExtensionS, "s", noFinish),
	}
	if m.contact.Assumed {
		sw.assume(m.contact.Why)
	}
	if in.card.Pitch.Line == "flight" {
		sw.computedLine(m.contact.Pitched)
	}
	if !m.lifted && in.scale.known() {
		sw.planeOnly()
	}
	if hidden := handsHidden(in.sighted, m.contact.TimeS); hidden > mostHidden {
		sw.hiddenHands(hidden)
	}
	return sw
}

// unscaled is why a length is missing.
const unscaled = "no scale: none on the card could be used"

// lackHands is why what the hands do is missing.
func lackHands(in paths, m motion, f figures) string {
	switch {
	case in.card.Marks.Hands == nil:
		return "no hands' mark on the card"
	case m.bat == nil && in.handsPx == nil:
		return "the hands' mark was not seen"
	case m.bat != nil && in.card.Bat.MarksApartM <= 0:
		return "the card does not say how far apart the bat's marks are (bat.marks_apart_m)"
	case math.IsNaN(f.keyS[catalogue.Launch]):
		return noLaunch
	}
	return unscaled
}

const noLaunch = "the barrel was not seen at rest before the swing"

// assume marks what rests on an assumed contact.
func (sw *Swing) assume(why string) {
	for _, v := range []*Value{
		&sw.Plane.AttackDeg, &sw.Plane.GapDeg, &sw.Plane.OffsetM, &sw.Speed.BarrelContactMPS,
		&sw.Zone.EnterS, &sw.Zone.LeaveS, &sw.Zone.BehindM, &sw.Zone.AheadM,
	} {
		*v = v.As(Assumed, why)
	}
}

// computedLine marks what rests on a flight computed from the card. Without a
// ball in the clip nothing says where that flight passed, so no distance from it
// is known.
func (sw *Swing) computedLine(ball bool) {
	const why = "the pitch line is computed from the card's speed, release and spin"
	for _, v := range []*Value{
		&sw.Pitch.DescentDeg, &sw.Plane.GapDeg, &sw.Zone.EnterS, &sw.Zone.LeaveS, &sw.Zone.DurationS, &sw.Zone.LengthM,
		&sw.Zone.BehindM, &sw.Zone.AheadM, &sw.Zone.Along.EnterS, &sw.Zone.Along.LeaveS, &sw.Zone.Along.DurationS,
		&sw.Zone.Near.EnterS, &sw.Zone.Near.LeaveS, &sw.Zone.Near.DurationS,
	} {
		*v = v.As(Assumed, why)
	}
	if !ball {
		sw.Plane.OffsetM = Lacking("m", "the card says how the pitch falls, not where it passes, and no ball was seen")
	}
}

// planeOnly says of lengths and speeds that no depth was known.
func (sw *Swing) planeOnly() {
	const why = "in the plane of the pitch, without depth: 5–10 % off is common"
	for _, v := range []*Value{&sw.Speed.BarrelContactMPS, &sw.Speed.BarrelPeakMPS, &sw.Plane.OffsetM, &sw.Zone.LengthM} {
		if v.Status == Measured {
			v.Why = why
		}
	}
}

// mostHidden is the share of a swing that the hands' mark may be hidden without a word.
const mostHidden = 0.5

// hiddenHands says of what the hands do that little was seen of them.
func (sw *Swing) hiddenHands(share float64) {
	why := fmt.Sprintf("the hands' mark was hidden for %.0f %% of the swing: where they were follows from the barrel's band", 100*share)
	for _, v := range []*Value{&sw.Body.HandsPathM, &sw.Body.HandsStraightness, &sw.Speed.HandsPeakMPS, &sw.Tempo.LagContactS, &sw.Tempo.LaunchLagS} {
		if v.Status == Measured {
			v.Why = why
		}
	}
}

func keysOf(in paths, t Track, m motion, f figures) Keys {
	tc := m.contact.TimeS
	key := func(rel, confidence float64, why string) Key {
		if math.IsNaN(rel) {
			return Key{Status: Missing, Why: why}
		}
		fr := frameAt(t.TimesS, tc+rel)
		return Key{TimeS: &rel, Frame: &fr, Confidence: confidence, Status: Measured}
	}
	k := Keys{
		Launch:  key(f.keyS[catalogue.Launch], 0.8, noLaunch),
		Slot:    key(f.keyS[catalogue.Slot], 0.7, lackSlot(in, f)),
		Lag:     key(f.keyS[catalogue.Lag], 0.8, lackHands(in, m, f)),
		Contact: key(0, m.contact.Confidence, ""),
		Finish:  key(f.keyS[catalogue.Finish], 0.7, "the barrel was lost before the finish"),
	}
	k.Contact.Why = m.contact.Why
	if m.contact.Assumed {
		k.Contact.Status = Assumed
	}
	return k
}

// frameAt is the fractional frame of a time.
func frameAt(times []float64, t float64) float64 {
	n := len(times)
	i := sort.SearchFloat64s(times, t)
	switch {
	case n < 2:
		return 0
	case i == 0:
		i = 1
	case i >= n:
		i = n - 1
	}
	return float64(i-1) + (t-times[i-1])/(times[i]-times[i-1])
}

// bodyOf writes what the body does.
func bodyOf(in paths, m motion, f figures, val func(k catalogue.Metric, unit, lacking string) Value) Body {
	tc := m.contact.TimeS
	b := jointsOf(in, in.view, tc, nil)
	// why says why something at a key position, rel after contact, is missing.
	why := func(rel float64, when, lacking string, joints ...string) string {
		if math.IsNaN(rel) {
			return lacking
		}
		return lackJoints(in, when, tc+rel, joints...)
	}
	length := func(k catalogue.Metric, lacking string) Value {
		if !in.scale.known() {
			lacking = unscaled
		}
		return val(k, "m", lacking)
	}
	arm := []string{leadShoulder, leadElbow, leadWrist}
	noSlot, noLag := lackSlot(in, f), lackHands(in, m, f)
	angle := func(k catalogue.Metric, rel float64, when, lacking string) Value {
		v := val(k, "deg", why(rel, when, lacking, arm...))
		if v.Low != nil && *v.High-*v.Low > anyAngleDeg {
			return Lacking("deg", fmt.Sprintf("the arm points at the camera or is mostly covered: anything from %.0f° to %.0f°", *v.Low, *v.High))
		}
		if v.Status == Measured {
			v.Why = b.foreshortened(tc + rel)
		}
		return v
	}
	bent := why(f.keyS[catalogue.Launch], "between launch and contact", noLaunch, arm...)
	if !math.IsNaN(f.metric[catalogue.BodyLeadElbowContactDeg]) && !math.IsNaN(f.metric[catalogue.BodyLeadElbowLaunchDeg]) {
		bent = fmt.Sprintf("the lead arm does not pass %d° in the picture before contact, or was hidden for a while", straightDeg)
	}
	hands := noLag
	if !math.IsNaN(f.keyS[catalogue.Slot]) && !math.IsNaN(f.keyS[catalogue.Lag]) {
		hands = lackJoints(in, "at slot", tc+f.keyS[catalogue.Slot], backElbow)
	} else if math.IsNaN(f.keyS[catalogue.Slot]) {
		hands = noSlot
	}
	out := Body{
		LeadElbowLaunchDeg: angle(catalogue.BodyLeadElbowLaunchDeg, f.keyS[catalogue.Launch], "at launch", noLaunch), LeadElbowSlotDeg: angle(catalogue.BodyLeadElbowSlotDeg, f.keyS[catalogue.Slot], "at slot", noSlot),
		LeadElbowLagDeg: angle(catalogue.BodyLeadElbowLagDeg, f.keyS[catalogue.Lag], "at lag", noLag), LeadElbowContactDeg: angle(catalogue.BodyLeadElbowContactDeg, 0, "at contact", ""),
		LeadElbowStraightS: val(catalogue.BodyLeadElbowStraightS, "s", bent),
		ElbowHipSlotM:      length(catalogue.BodyElbowHipSlotM, noSlot),
		HandsElbowSlotM:    length(catalogue.BodyHandsElbowSlotM, hands),
		HandsBuckleLagM:    length(catalogue.BodyHandsBuckleLagM, why(f.keyS[catalogue.Lag], "at lag", noLag, beltBuckle)),
		HeadDriftM:         length(catalogue.BodyHeadDriftM, why(f.keyS[catalogue.Launch], "at launch or contact", noLaunch, head)),
		ShoulderOpenDeg:    val(catalogue.BodyShoulderOpenDeg, "deg", why(f.keyS[catalogue.Slot], "at launch or slot", noSlot, b.end(), backShoulder)),
	}
	for _, x := range []struct {
		joints []string
		values []*Value
	}{
		{arm, []*Value{&out.LeadElbowLaunchDeg, &out.LeadElbowSlotDeg, &out.LeadElbowLagDeg, &out.LeadElbowContactDeg, &out.LeadElbowStraightS}},
		{[]string{backElbow, backHip}, []*Value{&out.ElbowHipSlotM, &out.HandsElbowSlotM}},
		{[]string{head}, []*Value{&out.HeadDriftM}},
		{[]string{leadShoulder, backShoulder}, []*Value{&out.ShoulderOpenDeg}},
	} {
		byNetwork(in, x.joints, x.values)
	}
	return out
}

// lackSlot is why slot is missing.
func lackSlot(in paths, f figures) string {
	if math.IsNaN(f.keyS[catalogue.Launch]) {
		return noLaunch
	}
	return lackJoints(in, "where they may have been closest", math.NaN(), backElbow, backHip)
}

// anyAngleDeg is the width of an interval from which an angle is not known.
const anyAngleDeg = 75.0

// byNetwork says of measured values which of their joints the pose network found.
func byNetwork(in paths, joints []string, values []*Value) {
	var found []string
	for _, n := range joints {
		if in.limbs[n].net {
			found = append(found, strings.ReplaceAll(n, "_", " "))
		}
	}
	if len(found) == 0 {
		return
	}
	why := strings.Join(found, ", ") + " found by the pose network, not by a mark"
	for _, v := range values {
		if v.Status == Measured {
			v.Why = strings.TrimPrefix(v.Why+"; "+why, "; ")
		}
	}
}

func missingSwing(index int, why string) Swing {
	in := paths{sighted: sighted{setting: setting{scale: ScaleUse{Source: "guess"}}}}
	sw := swingOf(in, index, Track{}, motion{}, noFigures(), spread{})
	gone := Key{Status: Missing, Why: why}
	sw.Keys = Keys{gone, gone, gone, gone, gone}
	sw.Plane.AttackDeg = Lacking("deg", why)
	sw.Pitch.Line = "none"
	return sw
}

// Samples returns a mark's samples by name for track.csv: barrel on the bat's
// axis, hands, a joint, or ball.
func (st Study) Samples(name string) []Sample {
	switch name {
	case "barrel":
		return st.barrel()
	case "hands":
		hands := st.track.Hands
		for _, c := range st.Swings {
			hands = without(hands, c.stray)
		}
		return hands
	case "ball":
		var out []Sample
		for _, b := range st.track.Balls {
			out = append(append(out, b.In...), b.Out...)
		}
		return out
	}
	if j := st.track.Joints[name]; len(j) > 0 {
		return j
	}
	return st.track.Pose[name]
}

const (
	// fillSDPx is the uncertainty beyond which a frame without a sighting stays
	// empty: there the path is not known.
	fillSDPx = 2.0
	// hiddenPx is the uncertainty, from how little of the band a sighting shows,
	// from which it is the bat's motion rather than the sighting that says where
	// the barrel is.
	hiddenPx = 1.0
	// contradictSD is how many s.d. a sighting and the bat's place may be apart.
	contradictSD = 3.0
)

// barrel is the barrel's place in every frame in which it is known: on the fitted
// bat where there is one, else on the smoothed path.
func (st Study) barrel() []Sample {
	at := map[int]Sample{}
	for _, s := range st.track.Barrel {
		at[s.Frame] = s
	}
	for _, c := range st.Swings {
		for _, s := range c.samples {
			at[s.Frame] = s
		}
		if !c.Known {
			continue
		}
		for f := c.Span.From; f < c.Span.To && f < len(st.track.TimesS); f++ {
			seen, ok := at[f]
			s, known := c.place(f, st.track.TimesS[f], seen, ok)
			if delete(at, f); known {
				at[f] = s
			}
		}
	}
	out := make([]Sample, 0, len(at))
	for _, s := range at {
		out = append(out, s)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Frame < out[j].Frame })
	return out
}

// place is the barrel in frame f, at time t or that of its sighting, if any.
func (c Curves) place(f int, t float64, seen Sample, sighted bool) (Sample, bool) {
	s := Sample{Frame: f, TimeS: t, How: Filled}
	if sighted {
		s = seen
	}
	var p geom.Point
	var v float64
	ok := c.bat != nil
	if ok {
		p, ok = c.bat.OnAxis(s.TimeS)
	}
	switch {
	case ok:
		v = sureness * sureness * c.bat.PxVar(s.TimeS)
		if !sighted {
			break
		}
		// Bat and sighting contradict each other: either may be right.
		off2 := (seen.XPx-p[0])*(seen.XPx-p[0]) + (seen.YPx-p[1])*(seen.YPx-p[1])
		switch {
		case c.bat.HiddenVar(seen.band()) > hiddenPx*hiddenPx:
			s.How = Filled
		case off2 > contradictSD*contradictSD*(v+(seen.VarXX+seen.VarYY)/2):
			s.How = Filled
			v += off2 / 2
		}
	case sighted:
		return s, true
	case t <= c.FirstS || t >= c.LastS:
		return s, false
	default:
		p, v = c.path(t), c.variance(t)
	}
	s.XPx, s.YPx, s.VarXX, s.VarXY, s.VarYY = p[0], p[1], v, 0, v
	return s, s.How == Seen || v <= fillSDPx*fillSDPx
}
