package follow

import (
	"math"
	"slices"

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
			mass, hue = append(mass, k.Mass), append(hue, hueOf(k))
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

// hueOf is the direction of a patch's colour in (Cb, Cr).
func hueOf(k mark.Candidate) float64 { return math.Atan2(k.Tone[2]-128, k.Tone[1]-128) }

// fits is what a patch's likeness to the known look says.
func (n known) fits(k mark.Candidate) float64 {
	if !n.ok {
		return 0
	}
	over := math.Max(0, math.Log(k.Mass/(largeShare*n.mass)))
	d := math.Remainder(hueOf(k)-n.hueRad, 2*math.Pi) / hueSD
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
