package outfile_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"ashline/pipeline/outfile"
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestWrite(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "a", "b")
	must(t, outfile.Folder(dir))
	must(t, outfile.Folder(dir+"/"))
	name := filepath.Join(dir, "x.json")
	for _, text := range []string{"longer than the next", "short"} {
		must(t, outfile.Write(name, []byte(text)))
		got, err := os.ReadFile(name)
		if err != nil || string(got) != text {
			t.Errorf("got %q, %v; want %q", got, err, text)
		}
	}
	if err := outfile.Write(filepath.Join(dir, "gone", "x"), nil); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v, want fs.ErrNotExist", err)
	}
}

// Neither a file, nor its folder, is written through a link, and what the link points to
// stays as it was.
func TestLinksAreRefused(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	secret, elsewhere := filepath.Join(dir, "secret"), filepath.Join(dir, "elsewhere")
	must(t, os.WriteFile(secret, []byte("kept"), 0o600))
	must(t, os.Mkdir(elsewhere, 0o700))
	out := filepath.Join(dir, "out")
	must(t, outfile.Folder(out))
	must(t, os.Symlink(secret, filepath.Join(out, "metrics.json")))
	must(t, os.Symlink(filepath.Join(elsewhere, "new"), filepath.Join(out, "dangling.json")))
	must(t, os.Symlink(elsewhere, filepath.Join(out, "stills")))
	must(t, os.Symlink(elsewhere, filepath.Join(dir, "results")))
	for name, err := range map[string]error{
		"a file":             outfile.Write(filepath.Join(out, "metrics.json"), []byte("x")),
		"a dangling link":    outfile.Write(filepath.Join(out, "dangling.json"), []byte("x")),
		"its folder":         outfile.Write(filepath.Join(out, "stills", "slot.png"), []byte("x")),
		"a folder":           outfile.Folder(filepath.Join(out, "stills")),
		"the results' own":   outfile.Folder(filepath.Join(dir, "results")),
		"with a slash after": outfile.Folder(filepath.Join(dir, "results") + "/"),
	} {
		if !errors.Is(err, outfile.ErrLink) {
			t.Errorf("%s: got %v, want ErrLink", name, err)
		}
	}
	kept, err := os.ReadFile(secret)
	left, rerr := os.ReadDir(elsewhere)
	if err != nil || rerr != nil || string(kept) != "kept" || len(left) != 0 {
		t.Errorf("got %q and %d files elsewhere; %v, %v", kept, len(left), err, rerr)
	}
}
