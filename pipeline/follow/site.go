package follow

import (
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
)

// taggedSite is where the file says that the first chroma sample of an upright frame
// lies: it counts where the picture has too few edges to tell.
func taggedSite(info media.Info) mark.Site {
	tagged := mark.Site{X: 0, Y: 0.5}
	if info.ChromaSite == "center" {
		tagged.X = 0.5
	}
	for range info.RotateDeg / 90 { // a quarter turn clockwise
		tagged.X, tagged.Y = 1-tagged.Y, tagged.X
	}
	if info.Mirrored {
		tagged.X = 1 - tagged.X
	}
	return tagged
}

// planes are a frame's three planes.
func planes(f *media.Frame) (y, u, v mark.Plane) {
	cw, ch := f.ChromaW(), f.ChromaH()
	return mark.Plane{Pix: f.Y, Width: f.W, Height: f.H, Stride: f.W},
		mark.Plane{Pix: f.U, Width: cw, Height: ch, Stride: cw},
		mark.Plane{Pix: f.V, Width: cw, Height: ch, Stride: cw}
}
