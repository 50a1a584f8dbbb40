package follow

import (
	"math"

	"ashline/metrics"
	"ashline/pipeline/progress"
	"ashline/pipeline/track"
)

// search is what a path is looked for with.
type search struct {
	s     Sightings
	card  metrics.Card
	ruler Ruler
	ppm   float64
	steps *progress.Steps
}

// law is how a mark moves in this clip.
func (q search) law(name string) track.Law {
	impact := math.Max(1, q.s.FPS/impactFPS)
	l := track.Law{
		MaxSpeed: jointMaxMPS * q.ppm, RestAccel: limbAccel * q.ppm, TurnPx: limbTurnM * q.ppm,
		AreaPx: float64(q.s.Info.Width * q.s.Info.Height), GapS: gapS, ReachPx: limbReachM * q.ppm, ReachSpeed: limbReachMPS * q.ppm,
	}
	switch name {
	case "barrel":
		l.MaxSpeed, l.RestAccel, l.TurnPx = barrelMaxMPS*q.ppm, restAccel*impact*q.ppm, barrelTurnM*q.ppm/impact
		l.FastSpeed, l.SwingPx = barrelFastMPS*q.ppm, barrelSwingM*q.ppm
		l.ReachPx, l.ReachSpeed = barrelReachM*q.ppm, barrelReachMPS*q.ppm
	case "hands":
		l.MaxSpeed, l.FastSpeed, l.SwingPx = handsMaxMPS*q.ppm, handsFastMPS*q.ppm, handsSwingM*q.ppm
	}
	return l
}

// rodPx is the most that the marks of the bat may be apart in the picture, px.
func rodPx(c metrics.Card, ppm float64) float64 {
	if c.Bat.MarksApartM > 0 {
		return rodShare * c.Bat.MarksApartM * ppm
	}
	return rodShare * ppm
}
