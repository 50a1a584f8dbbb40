package metrics

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
)

// footing is what the metrics of one swing stand on. The catalogue says what a metric
// needs; footing says what of it the swing lacks, what is only assumed, and what is
// worth a remark, each with its reason.
type footing struct {
	figures
	lacking map[catalogue.Things]string
	assumed map[catalogue.Things]string
	remarks map[catalogue.Things]string
	contact contact.Contact
	unseen  string  // why what is taken at contact is assumed; empty where the barrel was seen
	seen    sighted // for the joints
	joints  body
}

const (
	noLine     = "no pitch line: the ball was not seen and the card draws none"
	noPassage  = "the card says how the pitch falls, not where it passes, and no ball was seen"
	noBall     = "the ball was not seen on its way in"
	unscaled   = "no scale: none on the card could be used, and neither ball nor bat's marks tell"
	seenScale  = "no length on the card: the scale is that of the ball or the bat's marks, as if they were in the plane of the pitch"
	lineIsMade = "the pitch line is computed from the card's speed, release and spin"
	noDepth    = "in the plane of the pitch, without depth: 5–10 % off is common"
)

// footingOf says what a swing's figures stand on.
func footingOf(p paths, m motion, f figures) footing {
	g := footing{
		figures: f, contact: m.contact, unseen: unseenAt(p.sighted, m.contact.TimeS), seen: p.sighted, joints: jointsOf(p, p.view, m.contact.TimeS, nil),
		lacking: map[catalogue.Things]string{}, assumed: map[catalogue.Things]string{}, remarks: map[catalogue.Things]string{},
	}
	if !p.scale.known() {
		g.lacking[catalogue.Scale] = unscaled
	} else if !stated(p.card) {
		g.assumed[catalogue.Scale] = seenScale
	}
	if math.IsNaN(f.metric[catalogue.PitchDescentDeg]) {
		g.lacking[catalogue.Line] = noLine
	}
	if !m.contact.Pitched {
		g.lacking[catalogue.Ball] = noBall
	}
	if p.card.Pitch.Line == "flight" {
		g.assumed[catalogue.Line] = lineIsMade
		if !m.contact.Pitched {
			g.lacking[catalogue.Passage] = noPassage
		}
	}
	if why := lackHands(p, m); why != "" {
		g.lacking[catalogue.Hands] = why
	} else if hidden := handsHidden(p.sighted, m.contact.TimeS); hidden > mostHidden {
		g.remarks[catalogue.Hands] = fmt.Sprintf("the hands' mark was hidden for %.0f %% of the swing: where they were follows from the barrel's band", 100*hidden)
	}
	if !m.lifted && p.scale.known() {
		g.remarks[catalogue.Depth] = noDepth
	}
	return g
}

// unseenAt is why the barrel's course at a time is assumed: it was out of sight just before,
// where its direction changes most.
func unseenAt(s sighted, atS float64) string {
	last := math.Inf(-1)
	for _, b := range s.barrel {
		if b.TimeS <= atS {
			last = b.TimeS
		}
	}
	if math.IsInf(last, -1) {
		return "the barrel was out of sight before contact"
	}
	if atS-last <= math.Max(unseenMostS, unseenFrames/s.fps) {
		return ""
	}
	return fmt.Sprintf("the barrel was out of sight for the last %.0f ms before contact: its way there is the likeliest one", 1000*(atS-last))
}

// lackHands is why the hands' path is not known; empty when it is.
func lackHands(p paths, m motion) string {
	switch {
	case p.card.Marks.Hands == nil:
		return "no hands' mark on the card"
	case m.bat == nil && p.handsPx == nil:
		return "the hands' mark was not seen"
	case m.bat != nil && p.card.Bat.MarksApartM <= 0:
		return "the card does not say how far apart the bat's marks are (bat.marks_apart_m)"
	}
	return ""
}

// value is a metric with its interval, its status and the reason for it.
func (g footing) value(m catalogue.Metric, s spread) Value {
	row, x := m.Row(), g.metric[m]
	if math.IsNaN(x) {
		return Lacking(row.Unit, cmp.Or(g.lack(row.Needs), row.Never, noNumber))
	}
	low, high := s.interval(m, x)
	if row.WidestDeg > 0 && high-low > row.WidestDeg {
		return Lacking(row.Unit, fmt.Sprintf("the arm points at the camera or is mostly covered: anything from %.0f° to %.0f°", low, high))
	}
	v := Got(x, low, high, row.Unit)
	if why := g.assumption(row.Needs); why != "" {
		return v.As(Assumed, why)
	}
	return v.As(Measured, g.remark(row))
}

// lack is the first of some needs that the swing lacks, as a reason; empty when it has
// them all.
func (g footing) lack(n catalogue.Needs) string {
	for _, thing := range n.Of.Each() {
		if why, ok := g.lacking[thing]; ok {
			return why
		}
	}
	for _, k := range n.At {
		if math.IsNaN(g.keyS[k]) {
			return g.lackKey(k)
		}
	}
	for _, k := range n.At {
		if why := lackJoints(g.seen, n.Joints, g.contact.TimeS+g.keyS[k], k.Row().When); why != "" {
			return why
		}
	}
	return ""
}

// lackKey is why a key position is not known. Its joints are looked for over a span of
// time, so that only those never seen are a reason of their own.
func (g footing) lackKey(k catalogue.Key) string {
	row := k.Row()
	return cmp.Or(g.lack(catalogue.Needs{Of: row.Needs.Of, At: row.Needs.At}), lackJoints(g.seen, row.Needs.Joints, math.NaN(), ""), row.Never, noNumber)
}

// assumption says what assumed things the needs rest on; empty when none is.
func (g footing) assumption(n catalogue.Needs) string {
	var whys []string
	n = n.Rest()
	if g.contact.Assumed && slices.Contains(n.At, catalogue.Contact) {
		whys = append(whys, g.contact.Why)
	}
	if g.unseen != "" && len(n.At) == 1 && n.At[0] == catalogue.Contact {
		whys = append(whys, g.unseen)
	}
	return strings.Join(append(whys, said(g.assumed, n.Of)...), "; ")
}

// remark says what is worth knowing of a measured value; empty when nothing is.
func (g footing) remark(row catalogue.Row) string {
	rest := row.Needs.Rest()
	out := said(g.remarks, rest.Of)
	if row.Unit == "deg" && slices.Contains(row.Needs.Joints, catalogue.LeadElbow) {
		if why := g.joints.foreshortened(g.contact.TimeS + g.keyS[row.Needs.At[0]]); why != "" {
			out = append(out, why)
		}
	}
	if why := byNetwork(g.seen, rest.Joints); why != "" {
		out = append(out, why)
	}
	return strings.Join(out, "; ")
}

// said are the reasons for those of some things that have one.
func said(reasons map[catalogue.Things]string, of catalogue.Things) []string {
	var out []string
	for _, thing := range of.Each() {
		if why, ok := reasons[thing]; ok {
			out = append(out, why)
		}
	}
	return out
}
