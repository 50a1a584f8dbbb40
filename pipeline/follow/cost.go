package follow

import (
	"context"
	"errors"
	"io"
	"time"

	"ashline/metrics"
	"ashline/pipeline/card"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
	"ashline/pipeline/steady"
)

// Cost is the processor time a frame of following the barrel's band alone: its
// colour, its patches, and one path through them over the clip, chosen twice as in a
// measurement. Like a tracker's update it holds neither decoding nor steadying. clock
// is a processor clock.
func Cost(ctx context.Context, clip, cardPath string, clock func() (time.Duration, error)) (time.Duration, error) {
	c, err := card.Load(cardPath)
	if err != nil {
		return 0, err
	}
	s, models, dec, err := open(ctx, clip, c, nil)
	if err != nil {
		return 0, err
	}
	defer dec.Close()
	s.Names = s.Names[:1]
	var spent time.Duration
	timed := func(f func() error) error {
		from, err := clock()
		if err != nil {
			return err
		}
		if err := f(); err != nil {
			return err
		}
		to, err := clock()
		spent += to - from
		return err
	}
	var f media.Frame
	for {
		if err := dec.Next(&f); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return 0, err
		}
		if err := timed(func() error { return s.look(ctx, clip, &f, models[:1]) }); err != nil {
			return 0, err
		}
		s.Moves = append(s.Moves, steady.Transform{XX: 1, YY: 1})
	}
	g := &Gathered{Candidates: map[string][][]mark.Candidate{}, Chosen: map[string][]int{}}
	g.View, g.Scale = metrics.NewView(c, s.Info.Width, s.Info.Height)
	g.Track = metrics.Track{WidthPx: s.Info.Width, HeightPx: s.Info.Height, TimesS: s.TimesS}
	ppm := g.pxPerM()
	for range 2 {
		if err := timed(func() error { return g.follow(s, c, 0, ppm, 0) }); err != nil {
			return 0, err
		}
	}
	return spent / time.Duration(max(1, len(s.TimesS))), nil
}
