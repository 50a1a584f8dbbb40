package follow

import (
	"ashline/metrics"
	"ashline/metrics/geom"
)

// Ruler is what a metre is in a clip's picture.
type Ruler struct {
	View  geom.View
	Scale metrics.ScaleUse
}

// NewRuler reads it from a card, for a picture of a size in px.
func NewRuler(c metrics.Card, width, height int) Ruler {
	var r Ruler
	r.View, r.Scale = metrics.NewView(c, width, height)
	return r
}

// PxPerM is the scale in the picture's middle.
func (r Ruler) PxPerM() float64 {
	return 1 / r.View.MetresPerPixel(geom.Point{r.View.CX, r.View.CY})
}

// Known says that the card tells the scale: a guessed one only bounds the search.
func (r Ruler) Known() bool { return r.Scale.Source != "guess" }
