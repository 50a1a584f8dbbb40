package follow

import (
	"context"

	"ashline/pipeline/mark"
	"ashline/pipeline/media"
)

// chromaSite is where the first chroma sample of an upright frame lies, from the
// edges in the first frame, or in more where it has too few, and from the file's tag
// where those have too few as well. Most clips need no second look.
func chromaSite(ctx context.Context, path string, first *media.Frame, info media.Info) (mark.Site, error) {
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
	var site mark.Siting
	site.Add(planes(first))
	if site.Settled() {
		return site.Site(tagged), nil
	}
	dec, err := media.Open(ctx, path, info, media.Options{})
	if err != nil {
		return tagged, err
	}
	defer dec.Close()
	for f, err := range dec.Frames() {
		// An error is for the pass that measures to tell.
		if err != nil || f.Index >= siteFrames || site.Settled() {
			break
		}
		if f.Index > 0 && f.Index%siteEvery == 0 {
			site.Add(planes(f))
		}
	}
	return site.Site(tagged), nil
}

// planes are a frame's three planes.
func planes(f *media.Frame) (y, u, v mark.Plane) {
	cw, ch := f.ChromaW(), f.ChromaH()
	return mark.Plane{Pix: f.Y, Width: f.W, Height: f.H, Stride: f.W},
		mark.Plane{Pix: f.U, Width: cw, Height: ch, Stride: cw},
		mark.Plane{Pix: f.V, Width: cw, Height: ch, Stride: cw}
}
