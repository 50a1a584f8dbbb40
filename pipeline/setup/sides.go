package setup

import (
	"fmt"
	"math"

	"ashline/metrics"
	"ashline/pipeline/card"
)

// Left and right, of the picture and of a hitter; the sides that a camera films from.
const (
	left, right  = "left", "right"
	open, closed = "open", "closed"
)

// pitcherOf is the side of the picture that the pitch comes from: who bats right-handed and
// is seen from the front has the pitcher on the picture's right, and each change mirrors it.
func pitcherOf(bats, side string) string {
	if (bats == left) != (side == closed) {
		return left
	}
	return right
}

// Sides settles which side the pitch comes from, which hand the hitter bats with and which
// side the camera films, from the card and from the way the barrel travels. towards is the
// share of its fast travel that goes to the picture's right, −1 to 1; between ±travelLeast
// the picture is silent.
func Sides(c metrics.Card, towards float64) (metrics.Card, []string, error) {
	if math.Abs(towards) < travelLeast {
		return c, nil, nil
	}
	seen := right
	if towards < 0 {
		seen = left
	}
	const shown = "the barrel at its fastest travels to the picture's %s, so the pitch comes from there"
	if p := c.Camera.Pitcher; p != "" && p != seen {
		return c, nil, fmt.Errorf("%w: camera.pitcher says %s, but "+shown, card.ErrBad, p, seen)
	}
	if c.Bats != "" && c.Camera.Side != "" && pitcherOf(c.Bats, c.Camera.Side) != seen {
		return c, nil, fmt.Errorf("%w: bats %s seen from the %s side puts the pitcher on the %s, but "+shown,
			card.ErrBad, c.Bats, c.Camera.Side, pitcherOf(c.Bats, c.Camera.Side), seen)
	}
	var notes []string
	note := func(field, value string) {
		notes = append(notes, fmt.Sprintf("%s is not on the card: %s, as the picture shows (%s)", field, value, fmt.Sprintf(shown, seen)))
	}
	if c.Camera.Pitcher == "" && (c.Bats == "" || c.Camera.Side == "") {
		note("camera.pitcher", seen)
	}
	c.Camera.Pitcher = seen
	switch {
	case c.Bats == "":
		c.Bats = right
		if pitcherOf(right, c.Camera.Side) != seen {
			c.Bats = left
		}
		if c.Camera.Side == "" {
			notes = append(notes, fmt.Sprintf("neither bats nor camera.side is on the card: taken as %s-handed, seen from the open side", c.Bats))
		} else {
			note("bats", c.Bats)
		}
	case c.Camera.Side == "":
		c.Camera.Side = open
		if pitcherOf(c.Bats, open) != seen {
			c.Camera.Side = closed
		}
		note("camera.side", c.Camera.Side)
	}
	return c, notes, nil
}

// travelLeast of the fast travel must go one way. Rendered swings have 0.8 and more around
// the barrel's peak speed; a choice halfway to none.
const travelLeast = 0.4
