package report

import (
	"fmt"
	"math"
	"strings"

	"ashline/metrics"
	"ashline/pipeline/svg"
)

// unit is how a page shows an SI unit.
type unit struct {
	scale float64 // shown units in one SI unit
	name  string  // with the space before it
}

// Exact: an inch is 0.0254 m, a foot 0.3048 m, a mile 1609.344 m.
var (
	millis  = unit{1000, " ms"}
	centi   = unit{100, " cm"}
	metre   = unit{1, " m"}
	inch    = unit{1 / 0.0254, " in"}
	foot    = unit{1 / 0.3048, " ft"}
	speed   = unit{1, " m/s"}
	mph     = unit{3600 / 1609.344, " mph"}
	degrees = unit{1, "°"}
	ratio   = unit{1, ""}
)

// unitsOf are the unit that a value of a size is shown in, and the one beside it;
// usual is false without one.
func unitsOf(si string, size float64) (shown, beside unit, usual bool) {
	switch si {
	case "s":
		return millis, unit{}, false
	case "m":
		if math.Abs(size) >= 1 {
			return metre, foot, true
		}
		return centi, inch, true
	case "m/s":
		return speed, mph, true
	case "deg":
		return degrees, unit{}, false
	case "1":
		return ratio, unit{}, false
	}
	return unit{1, " " + svg.Short(si, 8)}, unit{}, false
}

// places is how many decimals a number with an uncertainty deserves, both in the
// shown unit; a number without one gets one.
func places(half float64) int {
	switch {
	case math.IsNaN(half) || half <= 0:
		return 1
	case half >= 3:
		return 0
	case half >= 0.15:
		return 1
	}
	return 2
}

// text writes a number of SI units in u.
func (u unit) text(v float64, places int) string { return u.bare(v, places) + u.name }

func (u unit) bare(v float64, places int) string {
	s := fmt.Sprintf("%.*f", places, u.scale*v)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-") // no minus before nothing
	}
	return strings.Replace(s, "-", "−", 1)
}

// signed puts a sign before what is above nothing too.
func (u unit) signed(v float64, places int) string {
	s := u.bare(v, places)
	if v > 0 && strings.Trim(s, "0.") != "" {
		s = "+" + s
	}
	return s + u.name
}

// shown is a value in the words of a page; empty parts are not known.
type shown struct {
	Value, Beside, Interval string
}

func show(v metrics.Value) shown {
	if !v.Known() {
		return shown{}
	}
	x, half := v.Float(), math.NaN()
	size := math.Abs(x)
	if v.Low != nil && v.High != nil {
		half = (*v.High - *v.Low) / 2
	}
	u, other, usual := unitsOf(v.Unit, size)
	n := places(half * u.scale)
	s := shown{Value: u.text(x, n)}
	if u == ratio {
		n, s.Value = 2, u.text(x, 2)
	}
	if usual {
		s.Beside = other.text(x, min(1, places(half*other.scale)))
	}
	if v.Low != nil && v.High != nil {
		s.Interval = fmt.Sprintf("%s %s %s", u.bare(*v.Low, n), words["to"], u.text(*v.High, n))
	}
	return s
}

// fromContact says when something is, t from contact.
func fromContact(t float64) string {
	text := millis.text(math.Abs(t), 0)
	switch {
	case strings.Trim(text, "0 ms") == "":
		return words["atStart"]
	case t < 0:
		return fmt.Sprintf(words["before"], text)
	}
	return fmt.Sprintf(words["after"], text)
}
