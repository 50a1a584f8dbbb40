package guide

import (
	"slices"
	"strings"

	"ashline/metrics/catalogue"
)

// without names what a metric may lack, as it follows "without".
var without = map[catalogue.Things]string{
	catalogue.Scale:   "a scale on the card",
	catalogue.Line:    "a pitch line (no ball was followed in and the card states no line)",
	catalogue.Passage: "a ball that shows where a computed line passed",
	catalogue.Ball:    "a ball that was followed in",
	catalogue.Hands:   "a band for the hands",
}

const (
	needsNothing = "Missing only with the whole swing."
	needsDepth   = "Without the camera's distance it is not corrected for depth: 5 to 10 % off is common, and the value says so."
	computedLine = "the line is computed from the card's pitch speed and release"
	contactLacks = "Assumed when no ball was seen: contact is then taken where the barrel is fastest. A `why` on a measured contact tells what was less than perfect, for example that the ball was missed."
)

// lacks says in sentences when a value is missing and when it is assumed.
func lacks(n catalogue.Needs, never string) string {
	var missing []string
	for _, thing := range n.Of.Each() {
		if w, ok := without[thing]; ok {
			missing = append(missing, w)
		}
	}
	for _, k := range n.At {
		if k != catalogue.Contact {
			missing = append(missing, k.Path())
		}
	}
	if len(n.Joints) > 0 {
		missing = append(missing, list(n.Joints)+", by bands or by the pose network")
	}
	var out []string
	switch {
	case len(missing) > 0 && never != "":
		out = append(out, "Missing without "+strings.Join(missing, "; without ")+"; or when "+never+".")
	case len(missing) > 0:
		out = append(out, "Missing without "+strings.Join(missing, "; without ")+".")
	case never != "":
		out = append(out, "Missing when "+never+".")
	default:
		out = append(out, needsNothing)
	}
	rest := n.Rest()
	timed, lined := slices.Contains(rest.At, catalogue.Contact), rest.Of.Has(catalogue.Line)
	switch {
	case timed && lined:
		out = append(out, "Assumed when contact is, or when "+computedLine+".")
	case timed:
		out = append(out, "Assumed when contact is.")
	case lined:
		out = append(out, "Assumed when "+computedLine+".")
	}
	if rest.Of.Has(catalogue.Depth) {
		out = append(out, needsDepth)
	}
	return strings.Join(out, " ")
}

// list writes joints in a row.
func list(joints []catalogue.Joint) string {
	names := make([]string, len(joints))
	for i, j := range joints {
		if j == catalogue.ShoulderEnd {
			j = catalogue.LeadShoulder
		}
		names[i] = strings.ReplaceAll(string(j), "_", " ")
	}
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
