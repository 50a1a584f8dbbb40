package demo

import (
	"fmt"
	"io"
	"sync/atomic"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
)

// Lines prints a line when a clip enters a new stage; for logs and pipes.
func Lines(w io.Writer) func(Update) {
	stage := map[string]string{}
	ended := 0
	return func(u Update) {
		if stage[u.Clip] == u.Stage {
			return
		}
		stage[u.Clip] = u.Stage
		switch u.Stage {
		case "done":
			ended++
			fmt.Fprintf(w, "%s: done (%d of %d)\n", u.Clip, ended, u.Clips)
		case "failed":
			ended++
			fmt.Fprintf(w, "%s: failed: %s (%d of %d)\n", u.Clip, u.Reason, ended, u.Clips)
		default:
			fmt.Fprintf(w, "%s: %s\n", u.Clip, u.Stage)
		}
	}
}

// Bars shows a live bar a clip on a terminal. Close leaves the last state standing.
type Bars struct {
	progress *mpb.Progress
	bars     map[string]*bar
}

type bar struct {
	*mpb.Bar
	stage atomic.Value // string; read by the drawing goroutine
}

const barWidth = 72

// NewBars draws on a terminal.
func NewBars(w io.Writer) *Bars { return newBars(mpb.WithOutput(w)) }

func newBars(opts ...mpb.ContainerOption) *Bars {
	return &Bars{progress: mpb.New(append(opts, mpb.WithWidth(barWidth))...), bars: map[string]*bar{}}
}

// Update moves the bar of a clip.
func (b *Bars) Update(u Update) {
	x, ok := b.bars[u.Clip]
	if !ok {
		x = &bar{}
		x.stage.Store("")
		x.Bar = b.progress.AddBar(0, // a total given here could not be changed later
			mpb.PrependDecorators(decor.Name(u.Clip, decor.WC{C: decor.DindentRight | decor.DextraSpace, W: 14}),
				decor.Any(func(decor.Statistics) string { return x.stage.Load().(string) }, decor.WC{C: decor.DindentRight | decor.DextraSpace, W: 10})),
			mpb.AppendDecorators(decor.Percentage(decor.WC{W: 5})))
		b.bars[u.Clip] = x
	}
	if x.stage.Load() != u.Stage {
		x.stage.Store(u.Stage)
		if u.Stage != "failed" { // that bar shows how far the clip came
			x.SetCurrent(0)
		}
	}
	switch {
	case u.Stage == "done":
		x.SetTotal(1, true)
	case u.Stage == "failed":
		x.Abort(false)
	case u.Total > 0:
		x.SetTotal(int64(u.Total), false)
		x.SetCurrent(int64(u.Done))
	}
}

// Close ends the drawing.
func (b *Bars) Close() {
	for _, x := range b.bars {
		if !x.Completed() && !x.Aborted() {
			x.Abort(false)
		}
	}
	b.progress.Wait()
}
