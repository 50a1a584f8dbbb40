package demo

import (
	"fmt"
	"math/rand/v2"

	"ashline/pipeline/scene"
)

// take is one clip to be filmed.
type take struct {
	name   string // file name without its ending, and the job's name
	params scene.Params
	labels scene.Labels
}

const (
	academyName = "fernhill"
	hitters     = 6
	widthPx     = 960
	heightPx    = 540
	// The clips are cut short: stance, swing, finish.
	leadInS = 0.42
	runOutS = 0.32
)

// academy draws six hitters, each filmed before and after a block of work. A
// hitter keeps body, bat and swing; what changes is how the barrel comes
// through the line of the pitch. Every third hitter bats left-handed.
func academy(seed uint64) []take {
	return enrol(seed, rand.New(rand.NewPCG(seed, 0xfe12)).Float64)
}

// enrol draws from numbers between 0 and 1. The ranges are such that every
// pitch can be had: a slow one cannot come in flat.
func enrol(seed uint64, draw func() float64) []take {
	var out []take
	for i := range hitters {
		id := fmt.Sprintf("fh-%03d", i+1)
		p := scene.Params{
			Seed: seed*1000 + uint64(i) + 1, Kind: "machine", Bats: "right", WidthPx: widthPx, HeightPx: heightPx,
			LeadInS: leadInS, RunOutS: runOutS, Bands: []string{"all"},
			HitterHeightM: 1.62 + 0.26*draw(), BarrelSpeedMPS: 25 + 8*draw(),
			PitchSpeedMPS: 27 + 7*draw(), DescentDeg: scene.Num(6.2 + 2*draw()),
			BatAheadDeg: scene.Num(12 + 10*draw()),
		}
		if i%3 == 2 {
			p.Bats = "left"
		}
		before, after := p, p
		before.AttackDeg = scene.Num(*p.DescentDeg - 9 + 3*draw())
		after.AttackDeg = scene.Num(*p.DescentDeg - 1 + 3*draw())
		after.BarrelSpeedMPS += 1.5 * draw()
		for _, t := range []struct {
			label, session string
			params         scene.Params
		}{{"before", "2026-03-02", before}, {"after", "2026-04-11", after}} {
			out = append(out, take{
				name: id + "-" + t.label, params: t.params,
				labels: scene.Labels{Academy: academyName, Hitter: id, Session: t.session, Label: t.label},
			})
		}
	}
	return out
}
