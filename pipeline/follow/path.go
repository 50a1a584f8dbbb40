package follow

import (
	"math"

	"ashline/metrics"
	"ashline/metrics/bat"
	"ashline/pipeline/mark"
	"ashline/pipeline/track"
)

// Path is one mark's way through a clip, with what it was chosen from.
type Path struct {
	Mark    string
	Samples []metrics.Sample   // in order of time; none when Refused says why
	Offered [][]mark.Candidate // by frame: the patches that competed, px of the steadied picture
	Chosen  []int              // by frame: of the patches, −1 none
	Refused Refusal
	// Score is how much the path speaks for the mark, nats, and Rival the same of the best
	// path of a barrel without that one's swing.
	Score, Rival float64
}

// Refusal says why a path that was found is left out; empty for one that is not.
type Refusal string

// The refusals.
const (
	OffBat     Refusal = "what has the hue of the hands' mark is nearly never within the bat's length of the barrel: it is left out"
	Stray      Refusal = "what has the hue of the hands' mark is farther from the barrel, or nearer, than the scale and the ball allow: it is left out (something else of that hue, or a wrong bat.marks_apart_m)"
	NeverApart Refusal = "what has the hue of the hands' mark is never as far from the barrel as bat.marks_apart_m says: it is left out (wood, skin or a sleeve of that hue, or a wrong distance)"
)

// refuse is the path left out.
func (p Path) refuse(why Refusal) Path {
	p.Samples, p.Refused, p.Chosen = nil, why, make([]int, len(p.Offered))
	for f := range p.Chosen {
		p.Chosen[f] = -1
	}
	return p
}

// Paths are the ways of a clip's marks.
type Paths []Path

// Of is the path of a mark; empty without one.
func (p Paths) Of(mark string) Path {
	for _, one := range p {
		if one.Mark == mark {
			return one
		}
	}
	return Path{}
}

// swinging tells in which frames a barrel's path swings.
func (p Path) swinging(timesS []float64, ppm float64) []bool {
	nodes := make([][]track.Node, len(p.Offered))
	for f := range p.Offered {
		for _, k := range p.Offered[f] {
			nodes[f] = append(nodes[f], track.Node{X: k.X, Y: k.Y})
		}
	}
	return track.Swinging(nodes, timesS, p.Chosen, barrelFastMPS*ppm, barrelSwingM*ppm)
}

// hueShare is the share of the patches' area that a path holds while it swings.
func (p Path) hueShare(timesS []float64, ppm float64) float64 {
	swings := p.swinging(timesS, ppm)
	var v []float64
	for f, k := range p.Chosen {
		if !swings[f] {
			continue
		}
		all := 0.0
		for _, c := range p.Offered[f] {
			all += c.Mass
		}
		v = append(v, p.Offered[f][k].Mass/all)
	}
	return middle(v)
}

// candidateSD is the error of a patch's centroid, with a share of its blur.
func candidateSD(k mark.Candidate) float64 {
	along, across, _ := k.Axes()
	sd := colourSD
	if k.Covered {
		sd = coveredSD
	}
	sd += blurSD*along + smallSD*math.Max(0, 1-k.Mass/smallPx)
	if k.Edge {
		sd += across + along
	}
	return sd
}

// samplesOf turns chosen candidates into samples. A patch much smaller than its
// neighbours is partly hidden: its centroid may be off by up to its radius.
func samplesOf(cands [][]mark.Candidate, chosen []int, timesS []float64) []metrics.Sample {
	var out []metrics.Sample
	for f, k := range chosen {
		if k < 0 {
			continue
		}
		c := cands[f][k]
		sd := candidateSD(c)
		along, across, _ := c.Axes()
		if m := medianMass(cands, chosen, f, hiddenReach); m > 0 && c.Mass < hiddenShare*m {
			sd += (hiddenShare - c.Mass/m) * (along + across)
		}
		if c.Still > splitShare {
			sd += c.Still * (along + across)
		}
		out = append(out, metrics.Sample{
			Frame: f, TimeS: timesS[f], XPx: c.X, YPx: c.Y, VarXX: sd * sd, VarYY: sd * sd,
			How: metrics.Seen, StreakPx: along * math.Sqrt(12), SizePx: across * math.Sqrt(12),
			Shape: bat.Shape{Mass: c.Colour, SXX: c.CXX, SXY: c.CXY, SYY: c.CYY, Third: c.Third, Skewed: c.Covered, LitX: c.LitX, LitY: c.LitY},
		})
	}
	return out
}

func medianMass(cands [][]mark.Candidate, chosen []int, f, reach int) float64 {
	var m []float64
	for i := max(0, f-reach); i < min(len(chosen), f+reach+1); i++ {
		if chosen[i] >= 0 {
			m = append(m, cands[i][chosen[i]].Mass)
		}
	}
	return middle(m)
}
