package follow

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"ashline/pipeline/fault"
	"ashline/pipeline/mark"
)

// look is what a patch's colours say for the mark, nats: pixels of one patch are no
// independent witnesses, so their sum counts up to lookMost.
func look(k mark.Candidate) float64 {
	return lookMost*(1-math.Exp(-k.Evidence/lookScale)) - lookLeast - stillLog*k.Still
}

// size is what a patch's area says, where the scale is known.
func (q search) size(name string, k mark.Candidate) float64 {
	if !q.ruler.Known() {
		return 0
	}
	r := k.Mass / (silhouette(name) * q.ppm * q.ppm)
	over, under := math.Max(0, math.Log(r/sizeMost)), math.Max(0, math.Log(sizeLeast/r))
	return -largePrice*over*over - smallPrice*under*under
}

// known is the look that a barrel was found to have while it swung.
type known struct {
	ok     bool
	mass   float64 // 90th percentile, px²
	hueRad float64
}

// look is what the barrel looked like on a path so far; nothing of other marks.
func (p Path) look(timesS []float64, ppm float64) known {
	if p.Mark != "barrel" || p.Chosen == nil {
		return known{}
	}
	var mass, hue []float64
	for f, swings := range p.swinging(timesS, ppm) {
		if swings {
			k := p.Offered[f][p.Chosen[f]]
			mass, hue = append(mass, k.Mass), append(hue, hueOf(k.Tone))
		}
	}
	if len(mass) < sureLeast {
		return known{}
	}
	slices.Sort(mass)
	base := hue[0] // an angle's median is taken about one of them
	for i := range hue {
		hue[i] = math.Remainder(hue[i]-base, 2*math.Pi)
	}
	return known{ok: true, mass: mass[len(mass)*9/10], hueRad: base + middle(hue)}
}

// hueOf is the direction of a colour, codes of Y, Cb and Cr, in (Cb, Cr).
func hueOf(tone [3]float64) float64 { return math.Atan2(tone[2]-128, tone[1]-128) }

// fits is what a patch's likeness to the known look says.
func (n known) fits(k mark.Candidate) float64 {
	if !n.ok {
		return 0
	}
	over := math.Max(0, math.Log(k.Mass/(largeShare*n.mass)))
	d := math.Remainder(hueOf(k.Tone)-n.hueRad, 2*math.Pi) / hueSD
	return -largePrice*over*over - math.Min(hueMost, d*d/2)
}

// rod is what the distance between the bat's marks says.
func (q search) rod(name string, k mark.Candidate, timeS float64, sofar Paths) float64 {
	other := map[string]string{"barrel": "hands", "hands": "barrel"}[name]
	if other == "" {
		return 0
	}
	h, ok := near(sofar.Of(other).Samples, timeS)
	if !ok {
		return 0
	}
	reach := reachM * q.ppm
	if q.card.Bat.MarksApartM > 0 {
		reach = reachShare * q.card.Bat.MarksApartM * q.ppm
	}
	d, w := math.Hypot(k.X-h.XPx, k.Y-h.YPx), 0.0
	if d > reach {
		w -= reachPrice * math.Min(1, (d-reach)/(reachSoft*reach))
	}
	// The barrel's place is the surer of the two: what is farther from it than the bat is
	// long, even nearer the camera, is not the hands.
	if name == "hands" && q.ruler.Known() && d > rodPx(q.card, q.ppm) {
		w -= otherPrice
	}
	return w
}

// unlike is the error of a barrel's path that cannot be the mark's by its look: it has another
// hue or little of the mark's saturation even where it is seen best, or its pixels hardly
// speak for the mark while it swings.
func (p Path) unlike(s Sightings, r Ruler, colour string) error {
	var cover, evidence []float64
	var tones [3][]float64
	swings := p.swinging(s.TimesS, r.PxPerM())
	for f, k := range p.Chosen {
		if k < 0 {
			continue
		}
		c := p.Offered[f][k]
		cover = append(cover, c.Mean)
		for i := range tones {
			tones[i] = append(tones[i], c.Tone[i])
		}
		if swings[f] {
			evidence = append(evidence, c.Evidence)
		}
	}
	if len(evidence) == 0 {
		return nil
	}
	area, least := silhouette(p.Mark)*r.PxPerM()*r.PxPerM()/4, 0.0
	if r.Known() {
		least = evidenceLeast * area
	}
	slices.Sort(cover)
	tone := [3]float64{middle(tones[0]), middle(tones[1]), middle(tones[2])}
	off := math.Remainder(hueOf(tone)-s.Marks.Model(0).HueRad, 2*math.Pi)
	if cover[len(cover)*3/4] >= coverLeast && (math.Abs(off) <= hueOffMost || area < hueLeastPx) && stat.Mean(evidence, nil) >= least {
		return nil
	}
	rgb := mark.Coding{Matrix: s.Info.Matrix, FullRange: s.Info.FullRange}.RGB(tone)
	return fmt.Errorf("%w: what swings most like it is about #%02x%02x%02x and hardly looks like marks.barrel.colour %q", fault.ErrNoMark, rgb.R, rgb.G, rgb.B, colour)
}
