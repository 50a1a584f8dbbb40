package scene

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync"

	"golang.org/x/sync/errgroup"
)

// Take is one clip of an invented academy.
type Take struct {
	Name   string // of the files, without an ending
	Params Params
	Labels Labels
}

const (
	academy  = "fernhill"
	hitters  = 6
	widthPx  = 960
	heightPx = 540
	// The clips are cut short: stance, swing, finish.
	leadInS = 0.42
	runOutS = 0.32
)

// Academy draws six hitters, each filmed before and after a block of work. A
// hitter keeps body, bat and swing; what changes is how the barrel comes
// through the line of the pitch. Every third hitter bats left-handed.
func Academy(seed uint64) []Take {
	return enrol(seed, rand.New(rand.NewPCG(seed, 0xfe12)).Float64)
}

// enrol draws from numbers between 0 and 1. The ranges are such that every
// pitch can be had: a slow one cannot come in flat.
func enrol(seed uint64, draw func() float64) []Take {
	var out []Take
	for i := range hitters {
		id := fmt.Sprintf("fh-%03d", i+1)
		p := Params{
			Seed: seed*1000 + uint64(i) + 1, Kind: "machine", Bats: "right", WidthPx: widthPx, HeightPx: heightPx,
			LeadInS: leadInS, RunOutS: runOutS, Bands: []string{"all"},
			HitterHeightM: 1.62 + 0.26*draw(), BarrelSpeedMPS: 25 + 8*draw(),
			PitchSpeedMPS: 27 + 7*draw(), DescentDeg: Num(6.2 + 2*draw()),
			BatAheadDeg: Num(12 + 10*draw()),
		}
		if i%3 == 2 {
			p.Bats = "left"
		}
		before, after := p, p
		before.AttackDeg = Num(*p.DescentDeg - 9 + 3*draw())
		after.AttackDeg = Num(*p.DescentDeg - 1 + 3*draw())
		after.BarrelSpeedMPS += 1.5 * draw()
		for _, t := range []struct {
			label, session string
			params         Params
		}{{"before", "2026-03-02", before}, {"after", "2026-04-11", after}} {
			out = append(out, Take{
				Name: id + "-" + t.label, Params: t.params,
				Labels: Labels{Academy: academy, Hitter: id, Session: t.session, Label: t.label},
			})
		}
	}
	return out
}

// Film renders takes into dir, as many at a time as there are workers, and tells of
// each frame, and of each clip when its files are whole (f is nil before). It calls
// each from one goroutine at a time, and stops when each returns an error.
func Film(ctx context.Context, dir string, takes []Take, workers int, each func(t Take, done, total int, f *Files) error) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var telling sync.Mutex
	tell := func(t Take, done, total int, f *Files) {
		telling.Lock()
		defer telling.Unlock()
		if ctx.Err() != nil {
			return
		}
		if err := each(t, done, total, f); err != nil {
			stop(err)
		}
	}
	crew, working := errgroup.WithContext(ctx)
	crew.SetLimit(max(1, workers))
	for _, t := range takes {
		crew.Go(func() error {
			frames := 0
			f, err := Write(working, dir, t.Name, t.Params, WriteOptions{Labels: t.Labels, Progress: func(done, total int) {
				frames = total
				tell(t, done, total, nil)
			}})
			if err == nil {
				tell(t, frames, frames, &f)
			} else if ctx.Err() != nil {
				err = context.Cause(ctx)
			}
			return err
		})
	}
	if err := crew.Wait(); err != nil {
		return err
	}
	return context.Cause(ctx)
}
