package metrics

import (
	"math"
	"strings"

	"ashline/metrics/catalogue"
)

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
