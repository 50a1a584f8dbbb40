package follow

import (
	"ashline/pipeline/mark"
	"ashline/pipeline/track"
)

// barrelPath links the barrel's candidates. Nothing that can be followed at a
// walk is the fast part of a swing; the best path through the rest is, and from
// there the path is carried outwards.
func barrelPath(nodes [][]track.Node, offered [][]mark.Candidate, timesS []float64, ph track.Physics, ppm float64, linked func(frames int)) []int {
	gr := track.Growth{
		Physics:    ph,
		Objects:    track.Objects(nodes, timesS, track.ObjectSearch{Accel: otherAccel * ppm, MaxSpeed: otherMPS * ppm, MaxGapS: otherGapS}),
		ApartPx:    apartM * ppm,
		BreakAccel: breakAccel * ppm, BreakRate: breakRate, SlowPx: splitMPS * ppm, AstrayPx: astrayM * ppm,
	}
	chosen := track.Link(brief(nodes, gr.Objects, timesS), timesS, ph, linked)
	fast := fastFrames(offered, chosen, timesS, ppm)
	if len(fast) == 0 {
		return track.Link(nodes, timesS, ph, nil)
	}
	for f := range chosen {
		if !fast[f] {
			chosen[f] = -1
		}
	}
	return track.Grow(nodes, timesS, chosen, gr)
}

// brief takes the worth from the candidates of all things that can be followed
// for long.
func brief(nodes [][]track.Node, objects [][]int, timesS []float64) [][]track.Node {
	first, last := map[int]float64{}, map[int]float64{}
	for f, ids := range objects {
		for _, id := range ids {
			if _, ok := first[id]; !ok {
				first[id] = timesS[f]
			}
			last[id] = timesS[f]
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
