package hostile

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"ashline/pipeline/scene"
)

// newSource renders a small swing into dir, and from it what else is spoiled. It
// returns the swing's card as well.
func newSource(ctx context.Context, dir string, seed uint64) (s *source, card []byte, err error) {
	f, err := scene.Write(ctx, dir, "whole", scene.Params{
		Seed: seed, Kind: "machine", WidthPx: 320, HeightPx: 180, LeadInS: 0.42, RunOutS: 0.32,
	}, scene.WriteOptions{NoTruth: true})
	if err != nil {
		return nil, nil, fmt.Errorf("hostile: render: %w", err)
	}
	s = &source{canary: f.Clip}
	made := func(name string) string { return filepath.Join(dir, name) }
	for _, args := range [][]string{
		{"-i", f.Clip, "-c", "copy", made("whole.mkv")},
		{"-i", f.Clip, "-c:v", "mpeg4", "-q:v", "2", "-threads", "1", made("whole.avi")},
		{"-i", f.Clip, "-c:v", "libx264", "-threads", "1", "-g", "24", "-movflags", "frag_keyframe+empty_moov", made("parts.mp4")},
		{"-f", "lavfi", "-i", "color=s=8000x4000:d=0.1:r=30", "-c:v", "mpeg4", "-threads", "1", made("wide.mp4")},
		{"-f", "lavfi", "-i", "color=s=64x64:d=1:r=1000", "-c:v", "libx264", "-preset", "ultrafast", made("one.mp4")},
		{"-stream_loop", "270", "-i", made("one.mp4"), "-c", "copy", made("long.mp4")},
	} {
		out, err := exec.CommandContext(ctx, "ffmpeg", append([]string{"-v", "error", "-nostdin", "-y"}, args...)...).CombinedOutput()
		if err != nil {
			return nil, nil, fmt.Errorf("hostile: ffmpeg: %w: %s", err, strings.TrimSpace(string(out)))
		}
	}
	for path, into := range map[string]*[]byte{
		f.Clip: &s.mp4, f.Card: &card, made("whole.mkv"): &s.mkv,
		made("whole.avi"): &s.avi, made("parts.mp4"): &s.parts, made("wide.mp4"): &s.wide, made("long.mp4"): &s.long,
	} {
		if *into, err = os.ReadFile(path); err != nil {
			return nil, nil, fmt.Errorf("hostile: %w", err)
		}
	}
	return s, card, nil
}
