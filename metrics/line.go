package metrics

import (
	"math"

	"ashline/metrics/contact"
	"ashline/metrics/flight"
	"ashline/metrics/zone"
)

// pitchLine is the line of the pitch and, when it was tracked, the flight.
type pitchLine struct {
	line  zone.Line
	ball  zone.Path
	speed float64
	ok    bool
}

// shifted is a ball's flight on the clock of contact, carried on as if the ball
// had not been hit.
type shifted struct {
	ball contact.Pitch
	tc   float64
}

// At implements zone.Path.
func (s shifted) At(t float64) (pos, vel [2]float64) { return s.ball.At(t + s.tc) }

func lineOf(b contact.Pitch, tc float64) pitchLine {
	p, v := b.At(tc)
	return pitchLine{
		line: zone.Line{PointM: p, DescentDeg: math.Atan2(-v[1], -v[0]) * 180 / math.Pi},
		ball: shifted{b, tc}, speed: math.Hypot(v[0], v[1]), ok: true,
	}
}

// lineAt is the pitch line at contact: the tracked ball's, or the card's where it
// states one. A computed flight passes where the ball was, else where the barrel
// was.
func lineAt(s setting, m motion, ball contact.Pitch, barrel [2]float64) pitchLine {
	tracked := m.contact.Pitched
	switch {
	case s.card.Pitch.Line == "drawn" || s.card.Pitch.Line == "flight":
		at := barrel
		if tracked {
			at, _ = ball.At(m.contact.TimeS)
		}
		pl := cardLine(s, at)
		if s.card.Pitch.Line == "flight" {
			pl.line.DescentDeg += m.wrong.descent
		}
		if tracked {
			own := lineOf(ball, m.contact.TimeS)
			pl.ball, pl.speed = own.ball, own.speed
		}
		return pl
	case tracked:
		return lineOf(ball, m.contact.TimeS)
	}
	return pitchLine{}
}

// cardLine is the pitch line of a card that states it: two points drawn on a
// frame, or a flight computed from the speed at release. A computed flight says
// how the ball falls but not where it passes: its line is laid through at.
func cardLine(s setting, at [2]float64) pitchLine {
	p := s.card.Pitch
	switch {
	case p.Line == "flight":
		descent, ok := flightDescent(p)
		return pitchLine{line: zone.Line{PointM: at, DescentDeg: descent}, ok: ok}
	case p.Line != "drawn" || len(p.Points) != 2:
		return pitchLine{}
	}
	a, b := s.view.At(p.Points[0], 0), s.view.At(p.Points[1], 0)
	if b.X > a.X {
		a, b = b, a
	}
	return pitchLine{line: zone.Line{PointM: [2]float64{b.X, b.Z}, DescentDeg: math.Atan2(a.Z-b.Z, a.X-b.X) * 180 / math.Pi}, ok: true}
}

// flightDescent is how steeply the card's pitch falls at the plate.
func flightDescent(p PitchCard) (float64, bool) {
	ball, err := flight.Named(p.Ball)
	if err != nil {
		return 0, false
	}
	or := func(v, otherwise float64) float64 {
		if v > 0 {
			return v
		}
		return otherwise
	}
	at, err := flight.ToPlate(flight.Release{
		SpeedMPS: p.SpeedMPS, HeightM: or(p.ReleaseHeightM, releaseHeightM),
		DistanceM: or(p.ReleaseDistanceM, releaseDistanceM), PlateHeightM: or(p.PlateHeightM, plateHeightM),
	}, flight.Params{Ball: ball, SpinRPM: p.SpinRPM})
	if err != nil {
		return 0, false
	}
	return at.DescentDeg(), true
}

// lineSource is where the pitch line comes from: tracked, drawn, flight or none.
func lineSource(c Card, m motion) string {
	switch {
	case c.Pitch.Line == "drawn" || c.Pitch.Line == "flight":
		return c.Pitch.Line
	case m.contact.Pitched:
		return "tracked"
	}
	return "none"
}
