package pipeline

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

// FollowCost is the processor time a frame of following the barrel's band alone: its
// colour, its patches, and one path through them over the clip, chosen twice as in a
// measurement. Like a tracker's update it holds neither decoding nor steadying. clock
// is a processor clock.
func FollowCost(ctx context.Context, clip, cardPath string, clock func() (time.Duration, error)) (time.Duration, error) {
	c, err := card.Load(cardPath)
	if err != nil {
		return 0, err
	}
	s, models, dec, err := open(ctx, clip, c, nil)
	if err != nil {
		return 0, err
	}
	defer dec.Close()
	s.names = s.names[:1]
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
		s.moves = append(s.moves, steady.Transform{XX: 1, YY: 1})
	}
	g := &gathered{candidates: map[string][][]mark.Candidate{}, chosen: map[string][]int{}}
	g.view, g.scale = metrics.NewView(c, s.info.Width, s.info.Height)
	g.track = metrics.Track{WidthPx: s.info.Width, HeightPx: s.info.Height, TimesS: s.timesS}
	ppm := g.pxPerM()
	for range 2 {
		if err := timed(func() error { return g.follow(s, c, 0, ppm, 0) }); err != nil {
			return 0, err
		}
	}
	return spent / time.Duration(max(1, len(s.timesS))), nil
}
