package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"ashline/metrics"
	"ashline/pipeline/card"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
	"ashline/pipeline/steady"

	"golang.org/x/sys/unix"
)

// FollowCost is the processor time a frame of following the barrel's band alone: its
// colour, its patches, and one path through them over the clip, chosen twice as in a
// measurement. Like a tracker's update it holds neither decoding nor steadying.
func FollowCost(ctx context.Context, clip, cardPath string) (time.Duration, error) {
	c, err := card.Load(cardPath)
	if err != nil {
		return 0, err
	}
	s := &sightings{}
	if s.info, err = media.Probe(ctx, clip, media.Limits{}); err != nil {
		return 0, err
	}
	models, names, err := models(ctx, clip, s.info, c)
	if err != nil {
		return 0, err
	}
	dec, err := media.Open(ctx, clip, s.info, media.Options{})
	if err != nil {
		return 0, err
	}
	defer dec.Close()
	s.names = names[:1]
	stretch := s.stretch(c)
	s.fps = s.info.FileFPS * stretch
	var spent time.Duration
	var f media.Frame
	for {
		if err := dec.Next(&f); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return 0, err
		}
		if s.scan == nil {
			s.site = chromaSite(&f, s.info)
			s.scan = mark.NewScan(models[:1], mark.Coding{Matrix: s.info.Matrix, FullRange: s.info.FullRange}, s.site)
		}
		from, err := ownTime()
		if err != nil {
			return 0, err
		}
		s.scan.Add(planes(&f))
		to, err := ownTime()
		if err != nil {
			return 0, err
		}
		spent += to - from
		s.timesS = append(s.timesS, f.TimeS/stretch)
		s.moves = append(s.moves, steady.Transform{XX: 1, YY: 1})
	}
	from, err := ownTime()
	if err != nil {
		return 0, err
	}
	g := &gathered{candidates: map[string][][]mark.Candidate{}, chosen: map[string][]int{}}
	g.view, g.scale = metrics.NewView(c, s.info.Width, s.info.Height)
	g.track = metrics.Track{WidthPx: s.info.Width, HeightPx: s.info.Height, TimesS: s.timesS}
	ppm := 1 / g.view.MetresPerPixel(metrics.Point{g.view.CX, g.view.CY})
	for range 2 {
		if err := g.follow(s, c, 0, ppm); err != nil {
			return 0, err
		}
	}
	to, err := ownTime()
	if err != nil {
		return 0, err
	}
	return (spent + to - from) / time.Duration(max(1, len(s.timesS))), nil
}

// ownTime is the processor time of this process, the decoder's not among it.
func ownTime() (time.Duration, error) {
	var u unix.Rusage
	if err := unix.Getrusage(unix.RUSAGE_SELF, &u); err != nil {
		return 0, fmt.Errorf("processor clock: %w", err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()), nil
}
