package submit_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ashline/worker/fake"
	"ashline/worker/job"
	"ashline/worker/submit"
)

func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		p := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(p), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestFind(t *testing.T) {
	t.Parallel()
	dir := folder(t, map[string]string{
		"a.mp4": "1", "a.card.yaml": "", "session.card.yaml": "", "b.MOV": "2", "notes.txt": "", "deep/c.webm": "3",
		".hidden/d.mp4": "4", ".e.mp4": "5", "a.truth.json": "",
	})
	if err := os.Symlink(filepath.Join(dir, "a.mp4"), filepath.Join(dir, "link.mp4")); err != nil {
		t.Fatal(err)
	}
	got, err := submit.Find(dir, filepath.Join(dir, "a.mp4"))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, c := range got {
		names = append(names, c.Name)
	}
	if want := []string{"a", "b", "c"}; !slices.Equal(names, want) {
		t.Fatalf("got %q, want %q", names, want)
	}
	if len(got[0].Cards) != 2 || !strings.HasSuffix(got[0].Cards[0], "session.card.yaml") || len(got[2].Cards) != 0 {
		t.Errorf("got cards %q, %q", got[0].Cards, got[2].Cards)
	}
	for name, p := range map[string]string{"missing": filepath.Join(dir, "x.mp4"), "not a clip": filepath.Join(dir, "notes.txt"), "empty folder": t.TempDir()} {
		if _, err := submit.Find(p); !errors.Is(err, job.ErrBadInput) {
			t.Errorf("%s: got %v, want ErrBadInput", name, err)
		}
	}
}

func TestSubmit(t *testing.T) {
	t.Parallel()
	dir := folder(t, map[string]string{
		"Somebody's Name.MP4": "frames", "session.card.yaml": "academy: fernhill\nhitter: fh-001\n", "Somebody's Name.card.yaml": "hitter: fh-002\n",
	})
	clips, err := submit.Find(dir)
	if err != nil {
		t.Fatal(err)
	}
	s, q := fake.NewStore(), fake.NewQueue(time.Minute)
	sub := submit.Submitter{Objects: s, Queue: q, Bucket: "ashline"}
	first, known, err := sub.Submit(t.Context(), clips[0])
	if err != nil || known {
		t.Fatalf("known %v, %v", known, err)
	}
	keys := s.Keys("ashline")
	if len(keys) != 3 || !strings.HasPrefix(first.Key, "clips/fernhill/fh-002/") || !strings.HasSuffix(first.Key, "/clip.mp4") {
		t.Errorf("got keys %q, job %+v", keys, first)
	}
	for _, k := range keys {
		if strings.Contains(k, "Somebody") {
			t.Errorf("key %q tells a file's name", k)
		}
	}
	s.Fault = func(op, _ string) error {
		if op == "put" {
			t.Error("uploaded twice")
		}
		return nil
	}
	if _, known, err = sub.Submit(t.Context(), clips[0]); err != nil || !known {
		t.Errorf("again: known %v, %v", known, err)
	}
	sub.Salt = "again"
	if j, known, err := sub.Submit(t.Context(), clips[0]); err != nil || known || j.ID == first.ID {
		t.Errorf("wanted again: known %v, %v", known, err)
	}
	s.Fault, sub.Salt = nil, ""
	if err := os.WriteFile(clips[0].Cards[1], []byte("hitter: fh-002\nlabel: after\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	second, known, err := sub.Submit(t.Context(), clips[0])
	if err != nil || known || second.ID == first.ID || second.Key != first.Key || second.Cards[1] == first.Cards[1] {
		t.Errorf("a changed card: %+v, known %v, %v", second, known, err)
	}
}

func TestSubmitRefusesBeforeSending(t *testing.T) {
	t.Parallel()
	for name, files := range map[string]map[string]string{
		"bad card":    {"a.mp4": "x", "a.card.yaml": "bats: both\n"},
		"unknown key": {"a.mp4": "x", "a.card.yaml": "batz: left\n"},
		"hostile id":  {"a.mp4": "x", "a.card.yaml": "hitter: ../../x\n"},
		"dotted id":   {"a.mp4": "x", "a.card.yaml": "hitter: a..b\n"},
		"empty clip":  {"a.mp4": ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			clips, err := submit.Find(folder(t, files))
			if err != nil {
				t.Fatal(err)
			}
			s, q := fake.NewStore(), fake.NewQueue(time.Minute)
			_, _, err = submit.Submitter{Objects: s, Queue: q, Bucket: "ashline"}.Submit(t.Context(), clips[0])
			if !errors.Is(err, job.ErrBadInput) {
				t.Errorf("got %v, want ErrBadInput", err)
			}
			if keys := s.Keys("ashline"); len(keys) != 0 || len(q.Ends()) != 0 {
				t.Errorf("sent %q and %d jobs", keys, len(q.Ends()))
			}
		})
	}
}

// writeOnly is a store that lets nobody look.
type writeOnly struct{ *fake.Store }

func (writeOnly) Has(context.Context, string, string) (bool, error) {
	return false, fmt.Errorf("store: stat: %w", job.ErrDenied)
}

// Who may write and not look can submit, and submit again.
func TestSubmitWithoutLooking(t *testing.T) {
	t.Parallel()
	s, q := fake.NewStore(), fake.NewQueue(time.Minute)
	clips, err := submit.Find(folder(t, map[string]string{"a.mp4": "frames", "a.card.yaml": "hitter: fh-017\n"}))
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if _, _, err := (submit.Submitter{Objects: writeOnly{s}, Queue: q, Bucket: "ashline"}).Submit(t.Context(), clips[0]); err != nil {
			t.Fatal(err)
		}
	}
	if got := s.Keys("ashline"); len(got) != 2 {
		t.Errorf("got %q, want a clip and a card", got)
	}
}
