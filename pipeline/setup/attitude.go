package setup

import (
	"fmt"
	"math"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/card"
)

// When the edges of a clip's background tell how the camera stands, and how well. On rendered
// clips of two renderers with posts and walls the roll came out within 0.1°, the tilt within
// 0.7°, the yaw within 0.5° for nine in ten; where too few edges were upright the answer was
// nonsense, and its agreeing length under 0.7 of the picture's height or its miss over 0.8°.
const (
	uprightLeast = 1.2 // of the picture's height: length of the upright edges that agree
	missMostDeg  = 0.6 // median miss of all upright edges
	levelLeast   = 2.0 // of the picture's height: length of the level edges that agree

	rollSeenSD = 0.2 // degrees
	tiltSeenSD = 0.3 // degrees, and
	tiltPerOff = 1.2 // of the median miss
	yawSeenSD  = 1.0 // degrees: a wall that is along the pitch is so about as well
	yawSeenMax = 15.0

	// A phone set up by eye, where neither card nor picture tells; common practice.
	rollByEyeSD, tiltByEyeSD, yawByEyeSD = 1.0, 3.0, 3.0
	// What a card states well and what it guesses; common practice.
	rollStatedSD, tiltStatedSD, yawStatedSD = 0.3, 0.5, 1.0
	// Beyond these a statement and the picture contradict each other, degrees.
	rollApart, tiltApart, yawApart = 2.0, 4.0, 10.0
	// From here on a note says that the picture's value is used in place of the card's.
	tellFrom = 0.5
)

// Attitude settles how the camera stands from the card and from the edges of the background.
// view is the card's; scaled says that its focal length is known.
func Attitude(c metrics.Card, view geom.View, scaled bool, edges [][2]geom.Point, heightPx int) (metrics.Card, []string, error) {
	const degree = math.Pi / 180
	seen := geom.AttitudeOf(edges, view)
	tall, lens := float64(heightPx), view.Lens && scaled
	sure := seen.Upright >= uprightLeast*tall && seen.OffRad <= missMostDeg*degree
	stated := statedOf(c, view)
	sd := metrics.AttitudeSD{RollDeg: rollByEyeSD, TiltDeg: tiltByEyeSD, YawDeg: yawByEyeSD}
	var notes []string

	roll := reading{"camera.roll_deg", "the upright edges of the background", stated.roll, view.RollRad / degree, seen.RollRad / degree, rollApart}
	tilt := reading{"camera.tilt_deg", "the upright edges of the background", stated.tilt, c.Camera.TiltDeg, seen.TiltRad / degree, tiltApart}
	yaw := reading{"camera.yaw_deg", "the level edges of the background", stated.yaw, c.Camera.YawDeg, view.Sign * seen.YawRad / degree, yawApart}

	switch {
	case sure:
		if err := roll.contradicts(); err != nil {
			return c, nil, err
		}
		notes = append(notes, roll.notes()...)
		c.Camera.RollDeg, c.Camera.Level, sd.RollDeg = roll.seen, nil, rollSeenSD
	case stated.roll:
		sd.RollDeg = rollStatedSD
	}
	switch {
	case sure && lens:
		if err := tilt.contradicts(); err != nil {
			return c, nil, err
		}
		notes = append(notes, tilt.notes()...)
		c.Camera.TiltDeg, sd.TiltDeg = tilt.seen, tiltSeenSD+tiltPerOff*seen.OffRad/degree
	case stated.tilt:
		sd.TiltDeg = tiltStatedSD
	}
	// The picture does not show where the pitch goes, only walls that may be along it: what is
	// stated stands, unless it is far off.
	level := sure && lens && seen.Level >= levelLeast*tall
	switch {
	case stated.yaw:
		if level {
			if err := yaw.contradicts(); err != nil {
				return c, nil, err
			}
		}
		sd.YawDeg = yawStatedSD
	case level && math.Abs(yaw.seen) <= yawSeenMax:
		notes = append(notes, yaw.notes()...)
		c.Camera.YawDeg, sd.YawDeg = yaw.seen, yawSeenSD
	}
	c.Camera.SD = sd
	return c, notes, nil
}

// reading is one angle as the card and the picture have it, degrees.
type reading struct {
	field, by   string
	stated      bool
	card, seen  float64
	apartDegMax float64
}

func (r reading) contradicts() error {
	if r.stated && math.Abs(r.card-r.seen) > r.apartDegMax {
		return fmt.Errorf("%w: %s is %.1f°, but %s say %.1f°", card.ErrBad, r.field, r.card, r.by, r.seen)
	}
	return nil
}

func (r reading) notes() []string {
	switch {
	case !r.stated && math.Abs(r.seen) >= tellFrom:
		return []string{fmt.Sprintf("%s is not on the card: %.1f°, as %s show", r.field, r.seen, r.by)}
	case r.stated && math.Abs(r.card-r.seen) >= tellFrom:
		return []string{fmt.Sprintf("%s is %.1f° on the card: %.1f°, as %s show, is used", r.field, r.card, r.seen, r.by)}
	}
	return nil
}

// angles says which of the camera's angles a card states: zero and not stated are the same.
type angles struct{ roll, tilt, yaw bool }

func statedOf(c metrics.Card, v geom.View) angles {
	return angles{v.RollRad != 0 || len(c.Camera.Level) == 2, c.Camera.TiltDeg != 0, c.Camera.YawDeg != 0}
}
