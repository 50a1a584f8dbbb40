package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"ashline/pipeline/card/hurt"
	"ashline/pipeline/scene"
	"ashline/worker/conform"
	"ashline/worker/event"
	"ashline/worker/job"
	"ashline/worker/queue"
	"ashline/worker/settings"
	"ashline/worker/store"

	"github.com/spf13/pflag"
)

const (
	// hangs bounds one command and one job, on a machine of whatever load.
	hangs = 3 * time.Minute
	// mostMemory bounds what a worker keeps in memory while cards are made to hurt it:
	// with its libraries it has 150 MiB to begin with.
	mostMemory = 400 << 20
)

// A card made to hurt is refused by measure, by submit and by a worker in the same
// words, and costs the worker nothing; the jobs beside it are measured.
func TestCardsMadeToHurt(t *testing.T) {
	t.Parallel()
	cards := hurt.Cards()
	if testing.Short() {
		cards = cards[:8]
	}
	s := startWorker(t)
	clip := s.render(t)
	ids := make([]string, 0, len(cards))
	for i, c := range cards {
		if i%max(1, len(cards)/3) == 0 {
			s.job(t, fmt.Sprintf("good-%d", i), clip, s.goodCard)
		}
		ids = append(ids, s.job(t, fmt.Sprintf("hurt-%d", i), "no clip is looked at", c.Text))
	}
	failed, measured := s.follow(t, len(cards))
	for i, c := range cards {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			f, ok := failed[ids[i]]
			if !ok || f.Class != job.BadInput || f.Attempts != 1 {
				t.Fatalf("the job ended with %+v", f)
			}
			dir := t.TempDir()
			for name, text := range map[string]string{"swing.mp4": "no clip is looked at", "swing.card.yaml": c.Text} {
				if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			by := map[string]string{"a job": why(f.Reason)}
			for verb, more := range map[string][]string{"measure": {"--out", filepath.Join(dir, "out")}, "submit": {"--config", s.config}} {
				said, code := ashline(t, append([]string{verb, filepath.Join(dir, "swing.mp4")}, more...)...)
				if code != exitBadInput {
					t.Errorf("%s: code %d: %s", verb, code, said)
				}
				by[verb] = why(said)
			}
			for who, reason := range by {
				if reason != by["measure"] || !strings.Contains(reason, c.Why) {
					t.Errorf("%s says %q, measure %q; want it to hold %q", who, reason, by["measure"], c.Why)
				}
			}
		})
	}
	if measured < 3 {
		t.Errorf("%d good clips measured", measured)
	}
	most := s.peak(t)
	t.Logf("the worker had %d MiB in memory at most", most>>20)
	if most > mostMemory {
		t.Errorf("the worker had %d bytes in memory, want at most %d", most, int64(mostMemory))
	}
}

// why is what a refusal says after the card's name.
func why(said string) string {
	m := regexp.MustCompile(`card "[^"]*card\.yaml": (.*)`).FindStringSubmatch(said)
	if m == nil {
		return "no reason: " + said
	}
	return strings.TrimSpace(m[1])
}

// ashline runs the program to its end.
func ashline(t *testing.T, args ...string) (stderr string, code int) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), hangs)
	defer cancel()
	cmd := exec.CommandContext(ctx, os.Args[0], args...)
	var out bytes.Buffer
	cmd.Stderr = &out
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) || ctx.Err() != nil {
		t.Fatalf("%q: %v", args, err)
	}
	return out.String(), cmd.ProcessState.ExitCode()
}

// shop is a worker in a process of its own, with the queue and the store in it.
type shop struct {
	config   string
	pid      int
	store    *store.Store
	queue    *queue.Queue
	bucket   string
	goodCard string
	since    time.Time
	good     int
}

func startWorker(t *testing.T) *shop {
	t.Helper()
	dir := t.TempDir()
	cmd := exec.Command(os.Args[0], "work", "--slots", "2", "--embedded", filepath.Join(dir, "home"), "--scratch", dir, "--allow-partial-fence")
	conform.Process(t, cmd)
	s := &shop{config: filepath.Join(dir, "home", settings.SavedName), pid: cmd.Process.Pid, since: time.Now()}
	conform.Await(t, "worker", func(ctx context.Context) error {
		flags := settings.Bind(pflag.NewFlagSet("", pflag.ContinueOnError))
		set, err := flags.Resolve(func(name string) (string, bool) { return s.config, name == "ASHLINE_CONFIG" })
		if err != nil {
			return err
		}
		s.bucket = set.Bucket
		if s.store, err = set.OpenStore(ctx); err != nil {
			return err
		}
		s.queue, err = set.OpenQueue(ctx, "test", nil)
		return err
	})
	t.Cleanup(func() {
		s.queue.Close()
		s.store.Close()
	})
	return s
}

// render makes a small clip, and keeps its card.
func (s *shop) render(t *testing.T) (clip string) {
	t.Helper()
	p := scene.Random(1, scene.Clean)
	p.WidthPx, p.HeightPx, p.LeadInS, p.RunOutS = 640, 360, 0.45, 0.35
	files, err := scene.Write(t.Context(), t.TempDir(), "swing", p, scene.WriteOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(files.Card)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(files.Clip)
	if err != nil {
		t.Fatal(err)
	}
	s.goodCard = string(text)
	return string(raw)
}

// job puts a clip and its card into the store, and a job into the queue.
func (s *shop) job(t *testing.T, name, clip, card string) (id string) {
	t.Helper()
	dir, folder := t.TempDir(), "clips/fernhill/"+name+"/"
	for name, text := range map[string]string{"clip.mp4": clip, "clip.card.yaml": card} {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := s.store.Put(t.Context(), s.bucket, folder+name, p, "text/plain"); err != nil {
			t.Fatal(err)
		}
	}
	j := job.Job{Schema: job.Schema, Bucket: s.bucket, Key: folder + "clip.mp4", Products: []string{"metrics"}}
	j.ID = j.NewID("")
	if _, err := s.queue.Submit(t.Context(), j); err != nil {
		t.Fatal(err)
	}
	if clip != "" && card == s.goodCard {
		s.good++
	}
	return j.ID
}

// follow waits until so many jobs have failed and all good ones have ended.
func (s *shop) follow(t *testing.T, failures int) (failed map[string]event.Failed, measured int) {
	t.Helper()
	failed = map[string]event.Failed{}
	errEnough := errors.New("enough")
	ctx, cancel := context.WithTimeout(t.Context(), 3*hangs)
	defer cancel()
	err := s.queue.Follow(ctx, s.since, func(n queue.Note) error {
		switch n.Subject {
		case event.SubjectFailed:
			var f event.Failed
			if _, err := event.Decode(n.Data, n.Subject, &f); err != nil {
				return err
			}
			failed[f.Job.ID] = f
		case event.SubjectMeasured:
			measured++
		}
		if len(failed) >= failures && measured >= s.good {
			return errEnough
		}
		return nil
	}, event.SubjectFailed, event.SubjectMeasured)
	if !errors.Is(err, errEnough) {
		raw, _ := json.Marshal(failed)
		t.Fatalf("%v: %d failed, %d measured: %s", err, len(failed), measured, raw)
	}
	return failed, measured
}

// peak is the most memory that the worker's process has had, in bytes.
func (s *shop) peak(t *testing.T) int64 {
	t.Helper()
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.pid))
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(raw)
	if m == nil {
		t.Fatalf("no VmHWM in %s", raw)
	}
	kb, err := strconv.ParseInt(string(m[1]), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return kb << 10
}
