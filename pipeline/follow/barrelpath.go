package follow

import (
	"ashline/pipeline/track"
)

// How things other than a swung bat move, and how a bat moves that is out of
// sight for a while.
const (
	otherMPS   = 6.0   // a walk, an arm
	otherAccel = 150.0 // m/s²
	otherGapS  = 0.03
	briefS     = 0.05 // what can be followed for longer at that speed is not a bat in its fast part
	apartM     = 0.10 // farther than that from the barrel is another thing
	otherPrice = 6.0
	// A bat out of sight changes its speed by no more than breakAccel, and
	// breakRate more for each m/s that it goes: v²/r at 0.75 m and what the arms
	// add, as means over 50 ms.
	breakAccel = 80.0 // m/s²
	breakRate  = 22.0 // 1/s
	splitMPS   = 2.5  // slower than that, what parts from another thing is a piece of it
	astrayM    = 0.40
)

// barrelPath links the barrel's candidates. Nothing that can be followed at a
// walk is the fast part of a swing; the best path through the rest is, and from
// there the path is carried outwards.
func (g *Gathered) barrelPath(nodes [][]track.Node, ph track.Physics, ppm float64, linked func(frames int)) []int {
	gr := track.Growth{
		Physics:    ph,
		Objects:    track.Objects(nodes, g.Track.TimesS, track.ObjectSearch{Accel: otherAccel * ppm, MaxSpeed: otherMPS * ppm, MaxGapS: otherGapS}),
		ApartPx:    apartM * ppm,
		BreakAccel: breakAccel * ppm, BreakRate: breakRate, SlowPx: splitMPS * ppm, AstrayPx: astrayM * ppm,
	}
	brief := g.brief(nodes, gr.Objects)
	chosen := track.Link(brief, g.Track.TimesS, ph, linked)
	fast := g.fastFrames(chosen, ppm)
	if len(fast) == 0 {
		return track.Link(nodes, g.Track.TimesS, ph, nil)
	}
	for f := range chosen {
		if !fast[f] {
			chosen[f] = -1
		}
	}
	return track.Grow(nodes, g.Track.TimesS, chosen, gr)
}

// brief takes the worth from the candidates of all things that can be followed
// for long.
func (g *Gathered) brief(nodes [][]track.Node, objects [][]int) [][]track.Node {
	first, last := map[int]float64{}, map[int]float64{}
	for f, ids := range objects {
		for _, id := range ids {
			if _, ok := first[id]; !ok {
				first[id] = g.Track.TimesS[f]
			}
			last[id] = g.Track.TimesS[f]
		}
	}
	out := make([][]track.Node, len(nodes))
	for f := range nodes {
		out[f] = append([]track.Node(nil), nodes[f]...)
		for k, id := range objects[f] {
			if id >= 0 && last[id]-first[id] > briefS {
				out[f][k].Worth = -otherPrice
			}
		}
	}
	return out
}
