package bundle_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashline/worker/bundle"
	"ashline/worker/fake"
	"ashline/worker/job"
)

func TestIdentity(t *testing.T) {
	t.Parallel()
	base := bundle.Identity{ClipSHA256: "a", CardsSHA256: []string{"b", "c"}, Program: "1", Products: []string{"metrics", "overlay"}}
	same := base
	same.Products = []string{"overlay", "metrics"}
	if base.ID() != same.ID() {
		t.Error("the order of products matters")
	}
	if len(base.ID()) != 32 {
		t.Errorf("id %q", base.ID())
	}
	for name, other := range map[string]bundle.Identity{
		"clip":       {ClipSHA256: "x", CardsSHA256: base.CardsSHA256, Program: "1", Products: base.Products},
		"card order": {ClipSHA256: "a", CardsSHA256: []string{"c", "b"}, Program: "1", Products: base.Products},
		"program":    {ClipSHA256: "a", CardsSHA256: base.CardsSHA256, Program: "2", Products: base.Products},
		"products":   {ClipSHA256: "a", CardsSHA256: base.CardsSHA256, Program: "1"},
	} {
		if other.ID() == base.ID() {
			t.Errorf("%s does not matter", name)
		}
	}
}

func TestPrefixes(t *testing.T) {
	t.Parallel()
	if got, want := bundle.Prefix(bundle.Owner{Academy: "fernhill", Hitter: "fh-001"}, "id"), "swings/fernhill/fh-001/id/"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got, want := bundle.ClipPrefix(bundle.Owner{}, strings.Repeat("0123456789abcdef", 4)), "clips/_/_/0123456789abcdef/"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if job.ValidID("_") {
		t.Error("an id can be mistaken for nobody's")
	}
}

func result(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := fake.WriteResult(dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestDescribe(t *testing.T) {
	t.Parallel()
	m, err := bundle.Describe(result(t), bundle.Identity{ClipSHA256: "a", Program: "1"}, bundle.Owner{Academy: "fernhill"})
	if err != nil {
		t.Fatal(err)
	}
	f, ok := m.File("stills/slot.png")
	if !ok || f.Type != "image/png" || f.Key != "swings/fernhill/_/"+m.ID+"/"+m.Content+"/stills/slot.png" || len(f.SHA256) != 64 {
		t.Errorf("got %+v", f)
	}
	again, err := bundle.Describe(result(t), bundle.Identity{ClipSHA256: "a", Program: "1"}, bundle.Owner{Academy: "fernhill"})
	if err != nil || again.Content != m.Content {
		t.Errorf("the same files give %q and %q (%v)", m.Content, again.Content, err)
	}
}

// A browser plays, reads and draws by the type alone.
func TestTypes(t *testing.T) {
	t.Parallel()
	dir := result(t)
	want := map[string]string{
		"report.html": "text/html; charset=utf-8", "captions.vtt": "text/vtt; charset=utf-8", "overlay.mp4": "video/mp4",
		"plots/path-2.svg": "image/svg+xml", "stills/lag.png": "image/png", "metrics.json": "application/json", "other": "application/octet-stream",
	}
	for name := range want {
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	m, err := bundle.Describe(dir, bundle.Identity{}, bundle.Owner{})
	if err != nil {
		t.Fatal(err)
	}
	for name, kind := range want {
		if f, ok := m.File(name); !ok || f.Type != kind {
			t.Errorf("%s has type %q, want %q", name, f.Type, kind)
		}
	}
}

func TestDescribeRefuses(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(dir string) error{
		"no metrics":    func(dir string) error { return os.Remove(filepath.Join(dir, "metrics.json")) },
		"empty metrics": func(dir string) error { return os.Truncate(filepath.Join(dir, "metrics.json"), 0) },
		"a link":        func(dir string) error { return os.Symlink("/etc/passwd", filepath.Join(dir, "x.csv")) },
		"hidden":        func(dir string) error { return os.WriteFile(filepath.Join(dir, ".x"), nil, 0o600) },
		"odd name":      func(dir string) error { return os.WriteFile(dir+"/a\nb", nil, 0o600) },
		"a pipe name":   func(dir string) error { return os.WriteFile(filepath.Join(dir, "a|b"), nil, 0o600) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := result(t)
			if err := spoil(dir); err != nil {
				t.Fatal(err)
			}
			if _, err := bundle.Describe(dir, bundle.Identity{}, bundle.Owner{}); !errors.Is(err, bundle.ErrOutput) {
				t.Fatalf("got %v, want ErrOutput", err)
			}
		})
	}
}

func TestDownloadChecks(t *testing.T) {
	t.Parallel()
	dir, s := result(t), fake.NewStore()
	m, err := bundle.Describe(dir, bundle.Identity{}, bundle.Owner{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := bundle.Load(t.Context(), s, "ashline", m.Key()); !errors.Is(err, job.ErrNotFound) {
		t.Fatalf("got %v, want ErrNotFound", err)
	}
	if _, err := bundle.Commit(t.Context(), s, "ashline", dir, m, bundle.Submission{}); err != nil {
		t.Fatal(err)
	}
	if err := bundle.Download(t.Context(), s, "ashline", m, t.TempDir()); err != nil {
		t.Fatal(err)
	}
	f, _ := m.File("track.csv")
	other := filepath.Join(t.TempDir(), "other")
	if err := os.WriteFile(other, make([]byte, f.Size), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := s.Put(t.Context(), "ashline", f.Key, other, ""); err != nil {
		t.Fatal(err)
	}
	to := t.TempDir()
	if err := bundle.Download(t.Context(), s, "ashline", m, to); !errors.Is(err, bundle.ErrCorrupt) {
		t.Fatalf("got %v, want ErrCorrupt", err)
	}
	if _, err := os.Stat(filepath.Join(to, "track.csv")); err == nil {
		t.Error("the corrupt file stays")
	}
}

func TestHostileManifest(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"leaves the folder": `{"schema":"ashline.bundle/1.0","files":[{"name":"../x","key":"a/b"}]}`,
		"odd key":           `{"schema":"ashline.bundle/1.0","files":[{"name":"x","key":"/etc/passwd"}]}`,
		"schema":            `{"schema":"other"}`,
	} {
		s := fake.NewStore()
		if err := s.Store(t.Context(), "ashline", "m.json", []byte(text)); err != nil {
			t.Fatal(err)
		}
		if _, err := bundle.Load(t.Context(), s, "ashline", "m.json"); !errors.Is(err, bundle.ErrCorrupt) {
			t.Errorf("%s: got %v, want ErrCorrupt", name, err)
		}
	}
}
