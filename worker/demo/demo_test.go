package demo

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/worker"
	"ashline/worker/fake"
	"ashline/worker/job"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	if mode := os.Getenv("ASHLINE_TEST_LAB"); mode != "" {
		os.Exit(laboratory(mode))
	}
	goleak.VerifyTestMain(m,
		// The gateway's HTTP server has one clock for good, and a cleaner a
		// server that looks for its end every ten seconds.
		goleak.IgnoreAnyFunction("github.com/valyala/fasthttp.updateServerDate.func1"),
		goleak.IgnoreAnyFunction("github.com/valyala/fasthttp.(*workerPool).Start.func2"))
}

// quick stands in for the laboratory: a card and a file that is no video.
type quick struct{}

func (quick) Takes(context.Context) ([]Take, error) {
	var takes []Take
	for i := range 6 {
		hitter := fmt.Sprintf("fh-%03d", i+1)
		for _, label := range []string{"before", "after"} {
			takes = append(takes, Take{Clip: hitter + "-" + label, Hitter: hitter, Label: label, Bats: "right"})
		}
	}
	return takes, nil
}

func (q quick) Film(ctx context.Context, dir string, each func(Shot) error) error {
	takes, err := q.Takes(ctx)
	for _, t := range takes {
		clip := filepath.Join(dir, t.Clip+".mp4")
		card := fmt.Sprintf("academy: fernhill\nhitter: %s\nlabel: %s\n", t.Hitter, t.Label)
		err = errors.Join(err,
			each(Shot{Clip: t.Clip, Done: 1, Total: 2}),
			os.WriteFile(filepath.Join(dir, t.Clip+".card.yaml"), []byte(card), 0o600),
			os.WriteFile(clip, []byte(t.Clip), 0o600),
			each(Shot{Clip: t.Clip, Done: 2, Total: 2, File: clip}))
	}
	return err
}

// judge writes a result with one swing; the clip named bad is refused.
func judge(bad string) *fake.Analyst {
	return &fake.Analyst{Do: func(_ context.Context, _ int, t worker.Task) error {
		text, err := os.ReadFile(t.Clip)
		if err != nil {
			return err
		}
		if string(text) == bad {
			return fmt.Errorf("%w: barrel's mark never seen", job.ErrBadInput)
		}
		return nil
	}}
}

func TestRun(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	stages := map[string]bool{}
	var lines bytes.Buffer
	show := Lines(&lines)
	cfg := Config{Out: out, Studio: quick{}, Program: "test", Analyst: judge("fh-002-after"), Watch: func(u Update) {
		stages[u.Stage] = true
		show(u)
	}}
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	for round := range 2 { // a second run empties the folder of the first
		sum, err := Run(ctx, cfg)
		if !errors.Is(err, job.ErrPartly) {
			t.Fatalf("round %d: got %v, want ErrPartly", round, err)
		}
		if sum.Clips != 12 || sum.Measured != 11 || sum.Failed != 1 || len(sum.Rows) != 12 {
			t.Fatalf("got %+v", sum)
		}
		if r := sum.Rows[3]; r.Clip != "fh-002-after" || r.Failed != "barrel's mark never seen" || r.Swing != nil {
			t.Errorf("got %+v", r)
		}
		if r := sum.Rows[0]; r.Hitter != "fh-001" || r.Label != "before" || r.Swing == nil {
			t.Errorf("got %+v", r)
		} else if _, err := os.Stat(filepath.Join(out, r.Folder, "report.html")); err != nil {
			t.Error(err)
		}
		raw, err := os.ReadFile(filepath.Join(out, "summary.json"))
		var back Summary
		if err != nil || json.Unmarshal(raw, &back) != nil || back.Measured != 11 {
			t.Errorf("summary.json: %s, %v", raw, err)
		}
	}
	for _, s := range []string{"film", "submit", "fetch", "track", "upload", "done", "failed"} {
		if !stages[s] {
			t.Errorf("stage %q never told", s)
		}
	}
	if !strings.Contains(lines.String(), "fh-002-after: failed: barrel's mark never seen") {
		t.Errorf("got %s", lines.String())
	}
}

func TestRunIsCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	a := &fake.Analyst{Do: func(ctx context.Context, _ int, _ worker.Task) error {
		cancel()
		<-ctx.Done()
		return ctx.Err()
	}}
	_, err := Run(ctx, Config{Out: filepath.Join(t.TempDir(), "out"), Analyst: a, Studio: quick{}})
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v, want context.Canceled", err)
	}
}

func TestForeignFolderIsLeftAlone(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := prepare(dir); !errors.Is(err, ErrFolder) {
		t.Fatalf("got %v, want ErrFolder", err)
	}
}

func TestTable(t *testing.T) {
	t.Parallel()
	frame := 101.25
	sw := metrics.Swing{Keys: metrics.Keys{Contact: metrics.Key{Frame: &frame}}}
	sw.Metrics[catalogue.PlaneAttackDeg], sw.Metrics[catalogue.PlaneGapDeg] = metrics.Got(8.04, 7, 9, "deg"), metrics.Lacking("deg", "no pitch")
	sw.Metrics[catalogue.ZoneDurationS], sw.Metrics[catalogue.SpeedBarrelContactMPS] = metrics.Got(0.0214, 0.02, 0.023, "s"), metrics.Got(30, 29, 31, "m/s")
	s := Summary{Folder: "/x", Clips: 2, Measured: 1, Failed: 1, Rows: []Row{
		{Hitter: "fh-001", Label: "before", Bats: "left", Swing: &sw},
		{Clip: "fh-001-after", Failed: "no video stream"},
	}}
	var b strings.Builder
	if err := s.Table(&b); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(b.String(), "\n")
	got := strings.Fields(lines[1])
	want := []string{"fh-001", "left", "before", "0", "8.0", missing, missing, "21", "101.25", "30.0", "67"}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if lines[2] != "failed: fh-001-after: no video stream" {
		t.Errorf("got %q", lines[2])
	}
}
