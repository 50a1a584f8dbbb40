// Package overlay draws on a clip what was measured of it: the barrel's path, the pitch
// line, the zone, the ball, the body's lines, the key positions and a panel of figures.
//
// A Study and the clip's Footage go in; overlay.mp4, which shows each swing in slow
// motion, stills of the key positions and a strip of them come out. Parts says which
// frames are shown and how often. A Drawing is what is drawn of one swing, a Screen
// where the picture stands on the frame that it is drawn on.
//
// Places are px of the steadied picture until a Screen takes them to px of what is drawn
// on. Times are s on the clip's clock.
package overlay
