package compare

import (
	"math"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/overlay"
)

// keysAt are key positions at times from contact.
func keysAt(launch, lag, finish float64) metrics.Keys {
	key := func(s float64) metrics.Key { return metrics.Key{TimeS: &s, Status: metrics.Measured} }
	return metrics.Keys{Launch: key(launch), Lag: key(lag), Contact: key(0), Finish: key(finish)}
}

func usualSwing() overlay.Moments {
	return overlay.Moments{
		StartS: 0.5 - 0.26, LaunchS: 0.5 - 0.16, ContactS: 0.5, FinishS: 0.5 + 0.19, EndS: 0.5 + 0.29,
		ZoneFromS: 0.5 - 0.008, ZoneToS: 0.5 + 0.010,
	}
}

// slower is a swing whose times from contact are k times as long, at another time of
// its clip.
func slower(k float64) overlay.Moments {
	m := usualSwing()
	from := func(t float64) float64 { return 1.7 + k*(t-m.ContactS) }
	return overlay.Moments{
		StartS: from(m.StartS), LaunchS: from(m.LaunchS), ContactS: 1.7, FinishS: from(m.FinishS), EndS: from(m.EndS),
		ZoneFromS: from(m.ZoneFromS), ZoneToS: from(m.ZoneToS),
	}
}

func TestInStep(t *testing.T) {
	t.Parallel()
	a, b := usualSwing(), slower(1.4)
	keys := [2]metrics.Keys{keysAt(-0.16, -0.05, 0.19), keysAt(-0.21, -0.06, 0.25)}
	frames, shared := inStep(a, anchors(AlignKeys, [2]overlay.Moments{a, b}, keys))
	if len(shared) != 4 {
		t.Fatalf("shared key positions %v", shared)
	}
	// What each frame of the video shows.
	var video []pair
	for _, p := range frames {
		for range 1 + p.hold {
			video = append(video, p)
		}
	}
	for _, k := range shared {
		for i, m := range []overlay.Moments{a, b} {
			if got, want := video[k.Frame].at[i], m.ContactS+*keys[i].Of(k.Name).TimeS; math.Abs(got-want) > 1e-12 {
				t.Errorf("%s of clip %d: frame %d shows %.4f s, want %.4f", k.Name, i, k.Frame, got, want)
			}
		}
	}
	for i := 1; i < len(frames); i++ {
		for side := range 2 {
			if frames[i].at[side] <= frames[i-1].at[side] {
				t.Fatalf("clip %d: frame %d shows %.4f s after %.4f", side, i, frames[i].at[side], frames[i-1].at[side])
			}
		}
	}
	if first, last := frames[0], frames[len(frames)-1]; first.at[0] > a.StartS+1e-9 || first.at[1] > b.StartS+1e-9 || last.at[0] < a.EndS-1e-9 || last.at[1] < b.EndS-1e-9 {
		t.Errorf("from %v to %v leaves out a part of a swing", first.at, last.at)
	}
}

func TestAlignedAtContact(t *testing.T) {
	t.Parallel()
	a, b := usualSwing(), slower(1.4)
	keys := [2]metrics.Keys{keysAt(-0.16, -0.05, 0.19), keysAt(-0.21, -0.06, 0.25)}
	frames, shared := inStep(a, anchors(AlignContact, [2]overlay.Moments{a, b}, keys))
	if len(shared) != 1 || shared[0].Name != "contact" {
		t.Fatalf("shared key positions %v, want contact alone", shared)
	}
	for _, p := range frames {
		if d := (p.at[0] - a.ContactS) - (p.at[1] - b.ContactS); math.Abs(d) > 1e-12 {
			t.Fatalf("%.4f s and %.4f s from contact on one frame", p.at[0]-a.ContactS, p.at[1]-b.ContactS)
		}
	}
}

// A key position that one clip lacks, or has in another order, is left out of the step.
func TestAnchorsNeedBothClips(t *testing.T) {
	t.Parallel()
	a, b := usualSwing(), slower(1)
	without := keysAt(-0.16, -0.05, 0.19)
	without.Launch = metrics.Key{Status: metrics.Missing}
	for _, c := range []struct {
		name  string
		other metrics.Keys
		want  int
	}{{"all", keysAt(-0.2, -0.1, 0.2), 4}, {"no launch", without, 3}, {"lag before launch", keysAt(-0.1, -0.12, 0.2), 3}} {
		_, shared := inStep(a, anchors(AlignKeys, [2]overlay.Moments{a, b}, [2]metrics.Keys{keysAt(-0.16, -0.05, 0.19), c.other}))
		if len(shared) != c.want {
			t.Errorf("%s: %v, want %d key positions", c.name, shared, c.want)
		}
	}
}

func TestTitles(t *testing.T) {
	t.Parallel()
	of := func(label, hitter string) Clip {
		return Clip{Card: metrics.Card{Label: label, Hitter: hitter}}
	}
	for _, c := range []struct {
		a, b Clip
		want [2]string
	}{
		{of("april", "fh-1"), of("june", "fh-1"), [2]string{"april", "june"}},
		{of("", "fh-1"), of("", "fh-2"), [2]string{"fh-1", "fh-2"}},
		{of("swing", "fh-1"), of("swing", "fh-1"), Sides},
		{of("a\x1b[2J\nb", ""), of("a very long label that nobody can read", ""), [2]string{"a[2J b", "a very long label t…"}},
	} {
		if got := titles([2]Clip{c.a, c.b}); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}
