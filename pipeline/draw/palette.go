package draw

// The hues come from Okabe and Ito, "Color Universal Design" (2008), which
// people with the common kinds of colour blindness tell apart. In and out of
// the zone differ in lightness too, for a picture printed in grey.
var (
	orange     = hex(0xe69f00)
	skyBlue    = hex(0x56b4e9)
	yellow     = hex(0xf0e442)
	vermillion = hex(0xd55e00)
	purple     = hex(0xcc79a7)
	white      = hex(0xffffff)
	nearBlack  = hex(0x10151c)
)

// The colours by what they stand for. Nothing outside this file names a hue.
var (
	PathInZone    = skyBlue                     // barrel's path while in the zone
	PathOutOfZone = vermillion                  // barrel's path before and after
	PathGuessed   = white.WithOpacity(0.55)     // barrel's path where it was not seen
	PitchLine     = yellow                      // line of the incoming pitch
	Band          = skyBlue.WithOpacity(0.22)   // area within the zone distance of the pitch line
	BandEdge      = skyBlue.WithOpacity(0.65)   // border of the band
	Ball          = white                       // ball's path
	Hands         = purple                      // hands' path and arm lines
	Model         = orange                      // the other swing of a comparison
	KeyLabel      = white                       // text of a key position
	Ink           = nearBlack                   // dark text, casings of lines
	Paper         = white                       // light text
	Plate         = nearBlack.WithOpacity(0.78) // surface behind text
	Casing        = nearBlack.WithOpacity(0.6)  // dark border of a bright line
	Halo          = nearBlack.WithOpacity(0.8)  // dark border of bright text
)
