package follow

import (
	"context"
	"fmt"
	"math"

	"ashline/metrics"
	"ashline/pipeline/card"
	"ashline/pipeline/fault"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
	"ashline/pipeline/progress"
)

// models makes the colour models of the card's marks; a clicked pixel is read
// from the clip.
func models(ctx context.Context, path string, info media.Info, c metrics.Card, report progress.Report) ([]mark.Model, []string, error) {
	named := card.NamedMarks(c.Marks)
	if len(named) == 0 || named[0].Name != "barrel" {
		return nil, nil, fmt.Errorf("%w: card field marks.barrel.colour is not set", fault.ErrNoColour)
	}
	coding := mark.Coding{Matrix: info.Matrix, FullRange: info.FullRange}
	areaPx := 0.0 // of a square metre, where the scale is known
	if r := NewRuler(c, info.Width, info.Height); r.Known() {
		areaPx = r.PxPerM() * r.PxPerM()
	}
	var out []mark.Model
	var names []string
	for _, nm := range named {
		var m mark.Model
		if nm.Mark.Colour != "" {
			rgb, err := card.ParseColour(nm.Mark.Colour)
			if err != nil {
				return nil, nil, fmt.Errorf("%w: marks.%s.colour: %w", card.ErrBad, nm.Name, err)
			}
			m = mark.NewModel(nm.Name, rgb, coding)
		} else {
			y, cb, cr, err := clicked(ctx, path, info, nm, report)
			if err != nil {
				return nil, nil, err
			}
			m = mark.ModelOf(nm.Name, y, cb, cr, coding)
		}
		m.AreaPx = silhouette(nm.Name) * areaPx
		m.Fine = nm.Name == "barrel" || nm.Name == "hands"
		if m.Saturation < mark.MinSaturation {
			return nil, nil, fmt.Errorf("%w: marks.%s has no hue (grey, black or white)", fault.ErrHue, nm.Name)
		}
		out, names = append(out, m), append(names, nm.Name)
	}
	return out, names, nil
}

// clicked reads the codes of the colour around a clicked pixel.
func clicked(ctx context.Context, path string, info media.Info, nm card.NamedMark, report progress.Report) (luma, cb, cr float64, err error) {
	dec, err := media.Open(ctx, path, info, media.Options{})
	if err != nil {
		return 0, 0, 0, err
	}
	defer dec.Close()
	for f, err := range dec.Frames() {
		if err != nil {
			return 0, 0, 0, err
		}
		if f.Index == nm.Mark.Frame {
			return fullest(f, nm)
		}
		report.At("click", f.Index+1, nm.Mark.Frame+1)
	}
	return 0, 0, 0, fmt.Errorf("%w: marks.%s.frame: the clip has no frame %d", card.ErrBad, nm.Name, nm.Mark.Frame)
}

// fullest are the codes about a mark's clicked pixel: the most saturated of the nine
// neighbours, because a click lands near the edge of a narrow band more often than in
// its middle.
func fullest(f *media.Frame, nm card.NamedMark) (luma, cb, cr float64, err error) {
	p := *nm.Mark.Pixel
	x, y := int(math.Round(p[0]/2)), int(math.Round(p[1]/2))
	if x < 1 || y < 1 || x >= f.ChromaW()-1 || y >= f.ChromaH()-1 {
		return 0, 0, 0, fmt.Errorf("%w: marks.%s.pixel: [%g, %g] is outside the picture of %d × %d", card.ErrBad, nm.Name, p[0], p[1], f.W, f.H)
	}
	best := -1.0
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			i := (y+dy)*f.ChromaW() + x + dx
			u, v := float64(f.U[i])-128, float64(f.V[i])-128
			if s := math.Hypot(u, v); s > best {
				best, luma, cb, cr = s, float64(f.Y[2*(y+dy)*f.W+2*(x+dx)]), float64(f.U[i]), float64(f.V[i])
			}
		}
	}
	return luma, cb, cr, nil
}

// silhouette is a mark's area from the side, m².
func silhouette(name string) float64 {
	if name == "barrel" {
		return barrelM * bandM
	}
	return handsM * bandM
}
