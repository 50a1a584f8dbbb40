package bat

import (
	"math"
)

// Seen is what there is to fit a bat to.
type Seen struct {
	Sight  Sight
	LeverM float64 // from the middle of the hands to the barrel's band, along the axis
	// MarkM is the distance from the middle of the hands to the hands' band, likewise;
	// Marked says that there is such a band, and that MarkM is known.
	MarkM    float64
	Marked   bool
	ContactS float64
	Hit      bool // at contact barrel and ball touched
	// ContactYM is the depth of the barrel at contact, m, and ContactSDM its s.d.; 0 not
	// known.
	ContactYM, ContactSDM float64
	// HandsYM is about where hands are, m towards the camera.
	HandsYM float64
	Barrel  []Sighting // in order of time
	Hands   []Sighting // likewise; nil when there is no hands' band
}

// within keeps what is at most reach, s, from contact.
func (o Seen) within(reach float64) Seen {
	cut := func(s []Sighting) []Sighting {
		var out []Sighting
		for _, x := range s {
			if math.Abs(x.TimeS-o.ContactS) < reach {
				out = append(out, x)
			}
		}
		return out
	}
	o.Barrel, o.Hands = cut(o.Barrel), cut(o.Hands)
	return o
}
