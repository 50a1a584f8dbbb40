package scene

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"ashline/metrics"

	"github.com/goccy/go-yaml"
)

// probe gives an entry of the first video stream's frames or of the stream.
func probe(t *testing.T, path, entry string) []string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "ffprobe", "-v", "error", "-select_streams", "v:0", "-show_entries", entry, "-of", "csv=p=0", "file:"+path)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("ffprobe: %v", err)
	}
	var rows []string
	for _, row := range strings.Fields(string(out)) {
		if row = strings.Trim(row, ","); row != "" {
			rows = append(rows, row)
		}
	}
	return rows
}

// firstFrame decodes the first frame upright as RGB.
func firstFrame(t *testing.T, path string) []byte {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "ffmpeg", "-v", "error", "-i", "file:"+path, "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "rgb24", "pipe:1")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("ffmpeg: %v", err)
	}
	return out
}

func TestWrite(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		p    Params
		o    WriteOptions
	}{
		{"plain", Params{}, WriteOptions{Workers: 2}},
		{"variable rate", Params{VariableRate: true}, WriteOptions{}},
		{"rotate 90", Params{RotateDeg: 90}, WriteOptions{}},
		{"rotate 180", Params{RotateDeg: 180}, WriteOptions{}},
		{"rotate 270", Params{RotateDeg: 270, VariableRate: true}, WriteOptions{}},
		{"slow motion", Params{FileFPS: 30}, WriteOptions{}},
		{"hevc", Params{}, WriteOptions{Codec: "hevc"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.p.Seed = 21
			p := small(c.p)
			files, err := Write(t.Context(), t.TempDir(), "clip", p, c.o)
			if err != nil {
				t.Fatal(err)
			}
			s := setup(t, p)
			times := probe(t, files.Clip, "frame=pts_time")
			if len(times) != s.Frames() {
				t.Fatalf("%d frames in the file, want %d", len(times), s.Frames())
			}
			for i, row := range times {
				got, err := strconv.ParseFloat(row, 64)
				if err != nil {
					t.Fatal(err)
				}
				near(t, "presentation time", got, s.ptsS[i], 2e-6)
			}
			want := make([]byte, 3*p.WidthPx*p.HeightPx)
			if err := s.Frame(0, want); err != nil {
				t.Fatal(err)
			}
			got := firstFrame(t, files.Clip)
			if len(got) != len(want) {
				t.Fatalf("decoded %d bytes, want %d", len(got), len(want))
			}
			sum := 0
			for k := range got {
				d := int(got[k]) - int(want[k])
				sum += d * d
			}
			// A wrong turn or matrix is off by tens of codes.
			if mse := float64(sum) / float64(len(got)); mse > 60 {
				t.Errorf("mean square difference of the first frame %.1f", mse)
			}
			var truth Truth
			j, err := os.ReadFile(files.Truth)
			if err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal(j, &truth); err != nil {
				t.Fatal(err)
			}
			if len(truth.Frames) != s.Frames() || truth.Schema != TruthSchema {
				t.Errorf("truth has %d frames, schema %q", len(truth.Frames), truth.Schema)
			}
		})
	}
}

func TestCardReadsBack(t *testing.T) {
	t.Parallel()
	p := Random(33, Shake)
	p.Bands, p.FileFPS = []string{"all"}, 30
	s := setup(t, p)
	want := s.Card(Labels{Label: "before"}, false)
	y, err := CardYAML(want)
	if err != nil {
		t.Fatal(err)
	}
	var got metrics.Card
	if err := yaml.Unmarshal(y, &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if bytes.Contains(y, []byte("null")) {
		t.Errorf("card holds empty fields:\n%s", y)
	}
	a := s.Cam.Project(Vec{-0.216, 0, 0})
	near(t, "plate's tip", want.Scale[0].Points[0][0], a.XPx, 0.001)
	if noisy := s.Card(Labels{}, true); noisy.Camera.DistanceM == want.Camera.DistanceM {
		t.Error("the noisy card is exact")
	}
	bare := Random(33, Clean)
	bare.HandsColour = "none"
	for _, k := range setup(t, bare).Card(Labels{}, false).Scale {
		if k.BatMarks {
			t.Error("the card takes its scale from marks that the bat does not wear")
		}
	}
}

func TestWriteRefusesAndCleansUp(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if _, err := Write(t.Context(), dir, "../x", Params{}, WriteOptions{}); !errors.Is(err, ErrParams) {
		t.Errorf("name with a folder: %v", err)
	}
	if _, err := Write(t.Context(), dir, "x", small(Params{}), WriteOptions{Codec: "none"}); !errors.Is(err, ErrParams) {
		t.Errorf("codec: %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	_, err := Write(ctx, dir, "x", small(Params{}), WriteOptions{Progress: func(done, _ int) {
		if done == 2 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil || len(left) != 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}
