package conform

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"ashline/worker"
	"ashline/worker/bundle"
	"ashline/worker/job"
)

// limit bounds each test of the suite.
const limit = 30 * time.Second

const bucket = "conform"

// Store runs the suite on a store in which the bucket "conform" exists and is
// empty.
func Store(t *testing.T, s worker.Objects) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	t.Cleanup(cancel)

	put := func(t *testing.T, key string, data []byte) {
		t.Helper()
		p := filepath.Join(t.TempDir(), "f")
		if err := os.WriteFile(p, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := s.Put(ctx, bucket, key, p, "application/octet-stream"); err != nil {
			t.Fatalf("Put %q: %v", key, err)
		}
	}

	t.Run("round trip", func(t *testing.T) {
		for name, size := range map[string]int{"empty": 0, "small": 11, "large": 17 << 20} {
			data := bytes.Repeat([]byte("ashline "), size/8+1)[:size]
			key := "a b/ü+%20&=/" + name + ".bin"
			put(t, key, data)
			p := filepath.Join(t.TempDir(), "back")
			if err := s.Fetch(ctx, bucket, key, p, int64(size)); err != nil {
				t.Fatalf("Fetch %s: %v", name, err)
			}
			got, err := os.ReadFile(p)
			if err != nil || !bytes.Equal(got, data) {
				t.Fatalf("%s: got %d bytes (%v), want %d", name, len(got), err, len(data))
			}
		}
	})
	t.Run("overwrite", func(t *testing.T) {
		put(t, "over/x.bin", []byte("one"))
		put(t, "over/x.bin", []byte("three"))
		got, _, err := s.Read(ctx, bucket, "over/x.bin", 100)
		if err != nil || string(got) != "three" {
			t.Fatalf("got %q, %v", got, err)
		}
	})
	for _, round := range []string{"create once", "replace once"} {
		t.Run(round, func(t *testing.T) {
			var wg sync.WaitGroup
			_, version, err := s.Read(ctx, bucket, "once/manifest.json", 100)
			if created := errors.Is(err, job.ErrNotFound); created != (round == "create once") {
				t.Fatalf("got %v", err)
			}
			errs := make([]error, 8)
			for i := range errs {
				wg.Go(func() {
					errs[i] = s.Swap(ctx, bucket, "once/manifest.json", version, fmt.Appendf(nil, "%s writer %d", round, i), "application/json")
				})
			}
			wg.Wait()
			won := -1
			for i, err := range errs {
				switch {
				case err == nil && won < 0:
					won = i
				case err == nil:
					t.Fatalf("writers %d and %d were both let", won, i)
				case !errors.Is(err, job.ErrExists):
					t.Fatalf("writer %d: got %v, want ErrExists", i, err)
				}
			}
			got, now, err := s.Read(ctx, bucket, "once/manifest.json", 100)
			if err != nil || string(got) != fmt.Sprintf("%s writer %d", round, won) || now == version || now == "" {
				t.Fatalf("got %q, %v; want writer %d", got, err, won)
			}
		})
	}
	t.Run("no version to replace", func(t *testing.T) {
		if err := s.Swap(ctx, bucket, "once/none.json", "0123456789abcdef0123456789abcdef", []byte("x"), "application/json"); !errors.Is(err, job.ErrExists) {
			t.Errorf("got %v, want ErrExists", err)
		}
		if ok, err := s.Has(ctx, bucket, "once/none.json"); ok || err != nil {
			t.Errorf("Has: got %v, %v", ok, err)
		}
	})
	t.Run("not there", func(t *testing.T) {
		if _, _, err := s.Read(ctx, bucket, "none/x", 10); !errors.Is(err, job.ErrNotFound) {
			t.Errorf("Read: got %v, want ErrNotFound", err)
		}
		if err := s.Fetch(ctx, bucket, "none/x", filepath.Join(t.TempDir(), "f"), 10); !errors.Is(err, job.ErrNotFound) {
			t.Errorf("Fetch: got %v, want ErrNotFound", err)
		}
		if ok, err := s.Has(ctx, bucket, "none/x"); ok || err != nil {
			t.Errorf("Has: got %v, %v", ok, err)
		}
		put(t, "some/x", []byte("x"))
		if ok, err := s.Has(ctx, bucket, "some/x"); !ok || err != nil {
			t.Errorf("Has: got %v, %v", ok, err)
		}
	})
	t.Run("too large", func(t *testing.T) {
		put(t, "large/x", []byte("0123456789"))
		if _, _, err := s.Read(ctx, bucket, "large/x", 9); !errors.Is(err, job.ErrBadInput) {
			t.Errorf("Read: got %v, want ErrBadInput", err)
		}
		p := filepath.Join(t.TempDir(), "f")
		if err := s.Fetch(ctx, bucket, "large/x", p, 9); !errors.Is(err, job.ErrBadInput) {
			t.Errorf("Fetch: got %v, want ErrBadInput", err)
		}
		if _, err := os.Lstat(p); err == nil {
			t.Error("Fetch left a file")
		}
	})
	t.Run("hostile keys", func(t *testing.T) {
		for _, key := range []string{"", "/x", "../x", "a/../x", "a//x", "a/./x", "x/", "a\nb", "a\x00b", ".hidden", strings.Repeat("x", 2000)} {
			if err := s.Swap(ctx, bucket, key, "", []byte("x"), "text/plain"); !errors.Is(err, job.ErrBadInput) {
				t.Errorf("key %.20q: got %v, want ErrBadInput", key, err)
			}
		}
	})
	t.Run("cancelled", func(t *testing.T) {
		gone, stop := context.WithCancel(ctx)
		stop()
		if _, _, err := s.Read(gone, bucket, "some/x", 10); !errors.Is(err, context.Canceled) {
			t.Errorf("got %v, want context.Canceled", err)
		}
	})
	t.Run("bundle", func(t *testing.T) { bundleOn(ctx, t, s) })
}

// bundleOn commits two different answers to one question and checks that the
// first stands whole.
func bundleOn(ctx context.Context, t *testing.T, s worker.Objects) {
	t.Helper()
	id := bundle.Identity{ClipSHA256: strings.Repeat("ab", 32), Program: "1.0"}
	owner := bundle.Owner{Academy: "fernhill", Hitter: "fh-001"}
	commit := func(text string) bundle.Manifest {
		dir := t.TempDir()
		for name, data := range map[string]string{"metrics.json": "{}", "stills/slot.png": text} {
			p := filepath.Join(dir, name)
			if err := os.MkdirAll(filepath.Dir(p), 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(p, []byte(data), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		m, err := bundle.Describe(dir, id, owner)
		if err != nil {
			t.Fatal(err)
		}
		end, err := bundle.Commit(ctx, s, bucket, dir, m, bundle.Submission{Job: text})
		if err != nil {
			t.Fatal(err)
		}
		return *end.Manifest
	}
	first, second := commit("one"), commit("another")
	if first.Content != second.Content {
		t.Fatalf("second commit stands: got %q, want %q", second.Content, first.Content)
	}
	dir := t.TempDir()
	if err := bundle.Download(ctx, s, bucket, second, dir); err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(filepath.Join(dir, "stills", "slot.png"))
	if err != nil || string(got) != "one" {
		t.Fatalf("got %q, %v; want the first answer", got, err)
	}
}
