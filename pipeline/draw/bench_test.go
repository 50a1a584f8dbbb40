package draw

import (
	"fmt"
	"math"
	"testing"

	"ashline/pipeline/media"
)

// overlay draws what a frame of the overlay typically holds: a path of 60
// segments with casing, the band, the pitch line and six labels.
func overlay(c *Canvas, n int) {
	w, h := c.Size()
	sx, sy := float64(w)/1920, float64(h)/1080
	at := func(x, y float64) Point { return Point{x * sx, y * sy} }
	s := math.Sqrt(sx * sy)
	c.FillPolygon([]Point{at(260, 560), at(1880, 380), at(1880, 500), at(260, 690)}, Band)
	c.Line(at(260, 560), at(1880, 380), 2*s, BandEdge)
	c.Line(at(260, 690), at(1880, 500), 2*s, BandEdge)
	c.Polyline([]Point{at(120, 640), at(1900, 437)}, Stroke{WidthPx: 5 * s, Colour: PitchLine, DashPx: 26 * s, GapPx: 16 * s, CasingPx: 2 * s})
	var path []Point
	var colours []Colour
	for i := range 61 {
		a := -2.6 + 4.4*float64(i)/60
		path = append(path, at(900+520*math.Sin(a), 430+210*math.Cos(a)))
		if i > 26 && i < 44 {
			colours = append(colours, PathInZone)
		} else {
			colours = append(colours, PathOutOfZone)
		}
	}
	c.Polyline(path, Stroke{WidthPx: 9 * s, Segments: colours, CasingPx: 2.5 * s})
	var labels []Label
	for i, name := range []string{"launch", "slot", "lag", "contact", "finish"} {
		labels = append(labels, Label{fmt.Sprintf("%s %+d ms", name, -180+60*i+n%10), path[12*i]})
	}
	style := TextStyle{Plate: Plate, Inside: true}
	c.DrawLabels(c.PlaceLabels(labels, 20*s, style, path), 16*s, style)
	c.Text(fmt.Sprintf("gap %+.1f° in zone %d ms", 3.4, 62+n%3), at(40, 40), TextStyle{Bold: true, HaloPx: 3 * s})
}

func BenchmarkOverlay(b *testing.B) {
	for _, size := range [][2]int{{1920, 1080}, {1280, 720}} {
		b.Run(fmt.Sprintf("%dp", size[1]), func(b *testing.B) {
			f := media.NewFrame(size[0], size[1])
			f.Fill(100, 128, 128)
			c := New(media.ColourSpace{})
			n := 0
			b.ReportAllocs()
			for b.Loop() {
				n++
				overlay(c.On(f), n)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/1000/float64(n), "ms/frame")
		})
	}
}
