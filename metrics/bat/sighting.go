package bat

import (
	"ashline/metrics/geom"
)

// Sighting is what was seen of a band in one frame.
type Sighting struct {
	Frame int
	TimeS float64 // mid-exposure
	// Px is the middle of what the band's hue covers, with its variances, px².
	Px                  geom.Point
	VarXX, VarXY, VarYY float64
	Shape               Shape
}

// Shape is what is seen of a band: how much light of its hue (Mass, in any one unit
// throughout a clip; 0 unknown), the covariance of that light, px², its third central
// moments xxx, xxy, xyy and yyy, px³, and where its middle lies from the middle of what
// the hue covers, px. Skewed says that the last two are known.
type Shape struct {
	Mass          float64
	SXX, SXY, SYY float64
	Third         [4]float64
	Skewed        bool
	LitX, LitY    float64
}

// lit is the middle of the band's light, px.
func (s Sighting) lit() geom.Point {
	return geom.Point{s.Px[0] + s.Shape.LitX, s.Px[1] + s.Shape.LitY}
}

// widened is the sighting with more variance, px², each way.
func (s Sighting) widened(more float64) Sighting {
	s.VarXX += more
	s.VarYY += more
	return s
}
