package bundle

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"ashline/worker/job"
)

// Schema names the version of the manifest.
const Schema = "ashline.bundle/1.0"

// ManifestName is the manifest's name under the bundle's folder.
const ManifestName = "manifest.json"

// MetricsName is the one file that every bundle holds.
const MetricsName = "metrics.json"

const (
	maxManifestBytes = 1 << 20
	maxFiles         = 500
	maxTotalBytes    = 4 << 30
)

// ErrOutput means: the analysis left something that is no bundle. A bug.
var ErrOutput = errors.New("bundle: unusable output")

// ErrCorrupt means: an object is not what its manifest says. Never normal.
var ErrCorrupt = errors.New("bundle: object differs from its manifest")

// File is one file of a bundle.
type File struct {
	Name   string `json:"name"` // relative, with slashes
	Key    string `json:"key"`
	Size   int64  `json:"size"`
	SHA256 string `json:"sha256"`
	Type   string `json:"type"`
}

// Manifest lists a bundle. It says nothing that differs from one attempt to
// the next but the files themselves; the record in the store has, beside it, the
// failures before it.
type Manifest struct {
	Schema      string   `json:"schema"`
	ID          string   `json:"id"`
	Program     string   `json:"program"`
	ClipSHA256  string   `json:"clip_sha256"`
	CardsSHA256 []string `json:"cards_sha256"`
	Owner       Owner    `json:"owner"`
	Content     string   `json:"content"` // name of the folder that holds the files
	Files       []File   `json:"files"`
}

// Key returns the object key of the manifest.
func (m Manifest) Key() string { return Prefix(m.Owner, m.ID) + ManifestName }

// File returns the file of a name.
func (m Manifest) File(name string) (File, bool) {
	i := slices.IndexFunc(m.Files, func(f File) bool { return f.Name == name })
	if i < 0 {
		return File{}, false
	}
	return m.Files[i], true
}

// Describe makes the manifest of a folder of results. Anything but plain files
// with plain names is refused: the folder was written by a process that read a
// stranger's clip.
func Describe(dir string, id Identity, owner Owner) (Manifest, error) {
	m := Manifest{
		Schema: Schema, ID: id.ID(), Program: id.Program, ClipSHA256: id.ClipSHA256,
		CardsSHA256: append([]string{}, id.CardsSHA256...), Owner: owner,
	}
	var total int64
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, p)
		if err != nil {
			return err
		}
		name := filepath.ToSlash(rel)
		if !d.Type().IsRegular() {
			return fmt.Errorf("%w: %q is not a plain file", ErrOutput, name)
		}
		if job.CheckKey(name) != nil {
			return fmt.Errorf("%w: name %q", ErrOutput, name)
		}
		sum, size, err := HashFile(p)
		if err != nil {
			return err
		}
		total += size
		m.Files = append(m.Files, File{Name: name, Size: size, SHA256: sum, Type: contentType(name)})
		if len(m.Files) > maxFiles || total > maxTotalBytes {
			return fmt.Errorf("%w: more than %d files or %d bytes", ErrOutput, maxFiles, int64(maxTotalBytes))
		}
		return nil
	})
	if err != nil {
		return Manifest{}, err
	}
	if f, ok := m.File(MetricsName); !ok || f.Size == 0 {
		return Manifest{}, fmt.Errorf("%w: no %s", ErrOutput, MetricsName)
	}
	slices.SortFunc(m.Files, func(a, b File) int { return strings.Compare(a.Name, b.Name) })
	h := sha256.New()
	for _, f := range m.Files {
		fmt.Fprintf(h, "%s %q\n", f.SHA256, f.Name)
	}
	m.Content = hex.EncodeToString(h.Sum(nil))[:16]
	for i, f := range m.Files {
		m.Files[i].Key = Prefix(owner, m.ID) + m.Content + "/" + f.Name
	}
	return m, nil
}

// check holds a manifest that came from the store against what may be in one.
func (m Manifest) check() error {
	if m.Schema != Schema {
		return fmt.Errorf("%w: manifest schema %q", ErrCorrupt, m.Schema)
	}
	for _, f := range m.Files {
		if job.CheckKey(f.Name) != nil || job.CheckKey(f.Key) != nil {
			return fmt.Errorf("%w: manifest names %q", ErrCorrupt, f.Name)
		}
	}
	return nil
}

// contentType is told by the name alone; a machine's own table would make
// results differ between machines.
func contentType(name string) string {
	switch strings.ToLower(path.Ext(name)) {
	case ".json":
		return "application/json"
	case ".csv":
		return "text/csv; charset=utf-8"
	case ".mp4":
		return "video/mp4"
	case ".png":
		return "image/png"
	case ".jpg":
		return "image/jpeg"
	case ".svg":
		return "image/svg+xml"
	case ".html":
		return "text/html; charset=utf-8"
	case ".vtt":
		return "text/vtt; charset=utf-8"
	default:
		return "application/octet-stream"
	}
}
