package follow

import (
	"context"
	"time"

	"ashline/pipeline/card"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
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
	s, models, scene, err := survey(ctx, clip, c, nil)
	if err != nil {
		return 0, err
	}
	s.Names = s.Names[:1]
	s.Marks, s.Patches = mark.NewFinder(models[:1], scene, s.Site), make([][][]mark.Candidate, 1)
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
	err = s.again(ctx, func(n int, f *media.Frame) error {
		return timed(func() error { s.addPatches(n, f); return nil })
	})
	if err != nil {
		return 0, err
	}
	r := NewRuler(c, s.Info.Width, s.Info.Height)
	if err := timed(func() error { _, err := Link(s, c, r, nil); return err }); err != nil {
		return 0, err
	}
	return spent / time.Duration(max(1, len(s.TimesS))), nil
}
