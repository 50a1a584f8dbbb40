package submit

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"ashline/pipeline/card"
	"ashline/worker/job"
)

// Clip is a clip and its cards on this machine.
type Clip struct {
	Path  string
	Name  string   // the file's name without its ending
	Cards []string // the session's first
}

// Find lists the clips of files and folders, folders with all below them, in
// the order of their names. Hidden files and links inside a folder are left out.
func Find(paths ...string) ([]Clip, error) {
	var out []Clip
	seen := map[string]bool{}
	add := func(p string) {
		if abs, err := filepath.Abs(p); err == nil && !seen[abs] {
			seen[abs] = true
			out = append(out, Clip{Path: p, Name: strings.TrimSuffix(filepath.Base(p), filepath.Ext(p)), Cards: card.Beside(p)})
		}
	}
	for _, p := range paths {
		st, err := os.Stat(p)
		if err != nil {
			return nil, fmt.Errorf("submit: %w: %w", job.ErrBadInput, err)
		}
		if !st.IsDir() {
			if !st.Mode().IsRegular() || !job.IsClip(p) {
				return nil, fmt.Errorf("submit: %w: %q does not end in %s", job.ErrBadInput, p, strings.Join(job.ClipExts, ", "))
			}
			add(p)
			continue
		}
		err = filepath.WalkDir(p, func(q string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			hidden := strings.HasPrefix(d.Name(), ".") && q != p
			switch {
			case hidden && d.IsDir():
				return fs.SkipDir
			case !hidden && d.Type().IsRegular() && job.IsClip(q):
				add(q)
			}
			return nil
		})
		if err != nil {
			return nil, fmt.Errorf("submit: %w", err)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("submit: %w: no clip (%s) in %q", job.ErrBadInput, strings.Join(job.ClipExts, ", "), paths)
	}
	return out, nil
}
