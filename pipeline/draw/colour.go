package draw

// Colour is an sRGB colour with its opacity. The zero value is invisible.
type Colour struct {
	R, G, B uint8
	Opacity float64 // 0 invisible … 1 opaque
}

// hex returns the opaque colour 0xrrggbb.
func hex(rgb uint32) Colour {
	return Colour{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), Opacity: 1}
}

// WithOpacity returns the colour with another opacity.
func (c Colour) WithOpacity(opacity float64) Colour {
	c.Opacity = opacity
	return c
}

// Mix returns the colour that lies the fraction t of the way from c to d.
func (c Colour) Mix(d Colour, t float64) Colour {
	if !(t > 0) {
		return c
	}
	t = min(t, 1)
	part := func(a, b uint8) uint8 { return uint8(float64(a) + (float64(b)-float64(a))*t + 0.5) }
	return Colour{part(c.R, d.R), part(c.G, d.G), part(c.B, d.B), c.Opacity + (d.Opacity-c.Opacity)*t}
}
