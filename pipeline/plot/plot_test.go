package plot_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/zone"
	"ashline/pipeline/plot"
)

// arc is an invented barrel: an ellipse that it runs along fastest at contact.
type arc struct{ riseDeg, offsetM float64 }

func (a arc) At(t float64) (pos, vel [2]float64) {
	const wide, tall, sweep, tau = 0.85, 0.5, 3.0, 0.085
	start := math.Atan(math.Tan(a.riseDeg*math.Pi/180) * wide / tall)
	tanh := math.Tanh(t / tau)
	sin0, cos0 := math.Sincos(start)
	sin, cos := math.Sincos(start + sweep*tanh)
	rate := sweep / tau * (1 - tanh*tanh)
	return [2]float64{wide * (sin - sin0), tall * (cos0 - cos)}, [2]float64{rate * wide * cos, rate * tall * sin}
}

func got(v, half float64, unit string) metrics.Value { return metrics.Got(v, v-half, v+half, unit) }

// invented is a whole swing.
func invented(a arc) plot.Swing {
	p := metrics.PlanePath{Lined: true, LineSource: "tracked", NearM: 0.07, AlongDeg: 10, FromS: -0.12, ToS: 0.12}
	p.Line = zone.Line{PointM: [2]float64{0.06, 0.006 - a.offsetM}, DescentDeg: 6}
	p.Zone = zone.Find(a, p.Line, zone.Limits{DistanceM: p.NearM, FromS: p.FromS, ToS: p.ToS})
	u := p.Line.Against()
	for i := -200; i <= 250; i++ {
		t := float64(i) / 1000
		pos, vel := a.At(t)
		q := metrics.PlanePoint{TimeS: t, XM: pos[0], ZM: pos[1], VXMPS: vel[0], VZMPS: vel[1]}
		_, q.OffM = p.Line.Place(pos)
		q.OffDeg = math.Atan2(u[0]*vel[1]-u[1]*vel[0], u[0]*vel[0]+u[1]*vel[1]) * 180 / math.Pi
		q.InZone = t >= p.Zone.EnterS && t <= p.Zone.LeaveS
		p.Points = append(p.Points, q)
	}
	for name, t := range map[string]float64{"launch": -0.15, "slot": -0.07, "lag": -0.05, "contact": 0, "finish": 0.19} {
		pos, _ := a.At(t)
		p.Keys = append(p.Keys, metrics.PlaneKey{Name: name, TimeS: t, XM: pos[0], ZM: pos[1], Assumed: name == "slot"})
	}
	var sw metrics.Swing
	sw.Metrics[catalogue.TimingSolidEarlyS], sw.Metrics[catalogue.TimingSolidLateS] = got(0.004, 0.001, "s"), got(0.006, 0.002, "s")
	sw.Metrics[catalogue.TimingAnyEarlyS], sw.Metrics[catalogue.TimingAnyLateS] = got(0.012, 0.001, "s"), got(0.021, 0.003, "s")
	return plot.Swing{Path: p, Measured: sw}
}

var (
	rising = arc{riseDeg: 9}
	level  = arc{riseDeg: 1, offsetM: 0.02}
)

// unknown is a swing of which nothing is known, for a reason.
func unknown(why string) plot.Swing {
	var sw metrics.Swing
	for m := range catalogue.NumMetrics {
		sw.Metrics[m] = metrics.Lacking(m.Row().Unit, why)
	}
	return plot.Swing{Measured: sw}
}

func named(s plot.Swing, name string) plot.Swing {
	s.Name = name
	return s
}

// unlined is a swing without a pitch line.
func unlined(s plot.Swing) plot.Swing {
	s.Path.Lined, s.Path.Zone = false, zone.Zone{}
	s.Path.Points = append([]metrics.PlanePoint(nil), s.Path.Points...)
	for i := range s.Path.Points {
		s.Path.Points[i].OffM, s.Path.Points[i].OffDeg, s.Path.Points[i].InZone = math.NaN(), math.NaN(), false
	}
	s.Measured = unknown("no pitch line: the ball was not seen and the card draws none").Measured
	return s
}

const rude = `</text><script>alert(1)</script>` + "\u202e\x00\n" + `"'><img src=x onerror=alert(1)>`

// cases are sets of plots by name.
func cases() map[string][]plot.Plot {
	early := invented(rising)
	early.Measured.Metrics[catalogue.TimingSolidEarlyS] = got(-0.003, 0.001, "s")
	never := invented(arc{riseDeg: 40, offsetM: 0.8})
	return map[string][]plot.Plot{
		"one":           plot.One(invented(rising)),
		"two":           plot.Two(named(invented(level), "before"), named(invented(rising), "after")),
		"same name":     plot.Two(invented(level), named(invented(rising), "before")),
		"unknown":       plot.One(unknown("too few sightings of the barrel in this swing")),
		"no line":       plot.One(unlined(invented(rising))),
		"second gone":   plot.Two(invented(level), unknown("no scale: none on the card could be used")),
		"both gone":     plot.Two(unknown("one reason"), unknown("another reason")),
		"never":         plot.One(never),
		"early by less": plot.One(early),
		"rude":          plot.Two(named(invented(level), rude), named(unknown(rude+strings.Repeat(" 300 letters", 40)), strings.Repeat("W", 300))),
		"nothing":       plot.One(plot.Swing{}),
	}
}

// label is a text of a plot.
type label struct {
	text, anchor string
	bold         bool
	x, y         float64
}

// read parses a plot; it wants numbers wherever SVG has them.
func read(t *testing.T, name string, p plot.Plot) (labels []label, count map[string]int, wide, high float64) {
	t.Helper()
	count = map[string]int{}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("%s, %s: %q is no number", name, p.File, s)
		}
		return v
	}
	inside := false
	d := xml.NewDecoder(strings.NewReader(string(p.SVG)))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return labels, count, wide, high
		}
		if err != nil {
			t.Fatalf("%s, %s: %v", name, p.File, err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			count[x.Name.Local]++
			attr := map[string]string{}
			for _, a := range x.Attr {
				attr[a.Name.Local] = a.Value
				switch a.Name.Local {
				case "x", "y", "cx", "cy", "r", "width", "height":
					number(a.Value)
				case "points":
					for _, f := range strings.FieldsFunc(a.Value, func(r rune) bool { return r == ' ' || r == ',' }) {
						number(f)
					}
				}
			}
			if x.Name.Local == "svg" && wide == 0 {
				wide, high = number(attr["width"]), number(attr["height"])
			}
			if inside = x.Name.Local == "text"; inside {
				labels = append(labels, label{anchor: attr["text-anchor"], bold: attr["font-weight"] == "bold", x: number(attr["x"]), y: number(attr["y"])})
			}
		case xml.EndElement:
			inside = false
		case xml.CharData:
			if inside {
				labels[len(labels)-1].text += string(x)
			}
		}
	}
}

// Wide fonts run to 0.57 em a letter, bold ones to 0.65.
func TestPlotsHoldTheirTexts(t *testing.T) {
	t.Parallel()
	for name, plots := range cases() {
		if len(plots) != 3 {
			t.Fatalf("%s: %d plots, want 3", name, len(plots))
		}
		for _, p := range plots {
			labels, count, wide, high := read(t, name, p)
			if p.Title == "" || p.Desc == "" || count["title"] != 1 || count["desc"] != 1 || len(p.SVG) > 80000 {
				t.Errorf("%s, %s: title %q, desc %q, %d bytes", name, p.File, p.Title, p.Desc, len(p.SVG))
			}
			for _, l := range labels {
				em := 0.57
				if l.bold {
					em = 0.65
				}
				w := em * 15 * float64(len([]rune(l.text)))
				from := l.x
				switch l.anchor {
				case "middle":
					from -= w / 2
				case "end":
					from -= w
				}
				if from < -2 || from+w > wide+2 || l.y < 12 || l.y > high-3 {
					t.Errorf("%s, %s: %q leaves the picture (%.0f to %.0f of %.0f, line at %.0f of %.0f)", name, p.File, l.text, from, from+w, wide, l.y, high)
				}
			}
		}
	}
}

func TestPlotsAreHarmless(t *testing.T) {
	t.Parallel()
	for name, plots := range cases() {
		for _, p := range plots {
			_, count, _, _ := read(t, name, p)
			for element := range count {
				switch element {
				case "svg", "title", "desc", "rect", "text", "polyline", "circle":
				default:
					t.Errorf("%s, %s has a %s element", name, p.File, element)
				}
			}
			if strings.ContainsAny(string(p.SVG), "\u202e\x00") || strings.Contains(string(p.SVG), "style=") {
				t.Errorf("%s, %s holds what it should not", name, p.File)
			}
		}
	}
}

// all the text of a plot, in one line.
func words(t *testing.T, name string, p plot.Plot) string {
	t.Helper()
	labels, _, _, _ := read(t, name, p)
	var out []string
	for _, l := range labels {
		out = append(out, l.text)
	}
	return strings.Join(out, " ")
}

func TestMissingSaysWhy(t *testing.T) {
	t.Parallel()
	all := cases()
	for _, c := range []struct {
		name string
		plot int
		want string
	}{
		{"unknown", 0, "too few sightings of the barrel in this swing"},
		{"unknown", 1, "too few sightings of the barrel in this swing"},
		{"unknown", 2, "too few sightings of the barrel in this swing"},
		{"no line", 0, "the ball was not seen and the card draws none"},
		{"no line", 1, "the ball was not seen and the card draws none"},
		{"second gone", 0, "Without after: no scale: none on the card could be used"},
		{"second gone", 1, "Without after: no scale: none on the card could be used"},
		{"second gone", 2, "Without any, after: no scale"},
		{"both gone", 2, "Without solid, before: one reason"},
		{"never", 1, "never in the zone"},
		{"nothing", 0, "the swing could not be put into the plane"},
		{"nothing", 2, "no reason is given"},
	} {
		p := all[c.name][c.plot]
		if got := words(t, c.name, p); !strings.Contains(got, c.want) {
			t.Errorf("%s, %s: %q does not say %q", c.name, p.File, got, c.want)
		}
		if c.name != "never" && !strings.Contains(p.Desc, c.want) {
			t.Errorf("%s, %s: %q does not say %q", c.name, p.File, p.Desc, c.want)
		}
	}
}

// The bar of the run in the zone lies where the axis has the metric's times.
func TestZoneIsDrawnWhereItIs(t *testing.T) {
	t.Parallel()
	s := invented(rising)
	p := plot.One(s)[1]
	labels, _, _, _ := read(t, "one", p)
	// Two numbers of the lowest row of numbers give the axis.
	low := 0.0
	for _, l := range labels {
		if _, err := strconv.Atoi(strings.Replace(l.text, "−", "-", 1)); err == nil && l.anchor == "middle" {
			low = math.Max(low, l.y)
		}
	}
	var at []label
	for _, l := range labels {
		if l.y == low && l.anchor == "middle" {
			at = append(at, l)
		}
	}
	if len(at) < 3 {
		t.Fatalf("%d numbers on the axis", len(at))
	}
	value := func(l label) float64 {
		v, err := strconv.ParseFloat(strings.Replace(l.text, "−", "-", 1), 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	a, b := at[0], at[len(at)-1]
	pxPerMS := (b.x - a.x) / (value(b) - value(a))
	for _, edge := range []float64{s.Path.Zone.EnterS, s.Path.Zone.LeaveS} {
		x := a.x + (1000*edge-value(a))*pxPerMS
		found := false
		for _, rounded := range []float64{x - 0.1, x, x + 0.1} {
			found = found || strings.Contains(string(p.SVG), fmt.Sprintf("points=\"%.1f,", rounded))
		}
		if !found {
			t.Errorf("no line starts at %.1f px, where %.2f ms are", x, 1000*edge)
		}
	}
}
