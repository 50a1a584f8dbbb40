package results

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"ashline/metrics"
	"ashline/pipeline/fault"
)

var (
	// ErrBad means: a file that cannot be used as results. Normal for a wrong or
	// half-copied file; the text names the file and what is wrong.
	ErrBad = fault.New(fault.BadInput, "results")
	// ErrTwice means: the same clip stands twice in a group, which would count its
	// swings twice. Normal for a file given beside its own folder.
	ErrTwice = errors.New("results: the same clip twice")
)

// Name is what a folder of results calls its metrics.
const Name = "metrics.json"

// MaxBytes bounds the size of a file: some hundred swings take a tenth of it.
const MaxBytes = 16 << 20

// ReadGroup reads the results of a group. Each path is a metrics.json or a
// folder that holds one.
func ReadGroup(paths []string) ([]metrics.Result, error) {
	var group []metrics.Result
	seen := map[string]string{}
	for _, p := range paths {
		r, err := Read(p)
		if err != nil {
			return nil, err
		}
		if first, ok := seen[r.Clip.SHA256]; ok && r.Clip.SHA256 != "" {
			return nil, fmt.Errorf("%w: %q and %q; give it once", ErrTwice, first, p)
		}
		seen[r.Clip.SHA256] = p
		group = append(group, r)
	}
	return group, nil
}

// Read reads the results of one clip.
func Read(path string) (metrics.Result, error) {
	file, err := locate(path)
	if err != nil {
		return metrics.Result{}, fmt.Errorf("%w %q: %w", ErrBad, path, err)
	}
	text, err := load(file)
	if err != nil {
		return metrics.Result{}, fmt.Errorf("%w %q: %w", ErrBad, file, err)
	}
	r, err := Parse(text)
	if err != nil {
		return metrics.Result{}, fmt.Errorf("%w %q: %w", ErrBad, file, err)
	}
	return r, nil
}

// locate finds the file that a path means.
func locate(path string) (string, error) {
	st, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", errors.New("no such file or folder: give a metrics.json, or the folder that holds one")
	case err != nil:
		return "", plain(err)
	case !st.IsDir():
		return path, nil
	}
	file := filepath.Join(path, Name)
	if _, err := os.Stat(file); err != nil {
		return "", errors.New("no metrics.json in this folder: give the folder of one clip's results, several one after the other")
	}
	return file, nil
}

// load reads a regular file that is not too large.
func load(file string) ([]byte, error) {
	st, err := os.Stat(file)
	if err != nil {
		return nil, plain(err)
	}
	if !st.Mode().IsRegular() {
		return nil, errors.New("it is not a file: give a metrics.json, or the folder that holds one")
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, plain(err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, MaxBytes+1))
	if err != nil {
		return nil, plain(err)
	}
	return text, nil
}

// plain drops the path that the error line names already.
func plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// Parse reads the text of a metrics.json and checks it.
func Parse(text []byte) (metrics.Result, error) {
	const remedy = "give the metrics.json that ashline measure wrote"
	switch {
	case len(text) > MaxBytes:
		return metrics.Result{}, fmt.Errorf("more than %d bytes, no metrics.json: %s", MaxBytes, remedy)
	case len(bytes.TrimSpace(text)) == 0:
		return metrics.Result{}, errors.New("the file is empty: measure the clip again")
	case !json.Valid(text):
		return metrics.Result{}, fmt.Errorf("not JSON, or cut short: %s", remedy)
	}
	// The version comes first: another version's fields may have other types.
	var head struct {
		Schema string `json:"schema"`
	}
	if err := json.Unmarshal(text, &head); err != nil || head.Schema == "" {
		return metrics.Result{}, fmt.Errorf("it names no schema, so it is no metrics.json: %s", remedy)
	}
	if contract, _, _ := strings.Cut(metrics.SchemaVersion, "/"); !strings.HasPrefix(head.Schema, contract+"/") {
		return metrics.Result{}, fmt.Errorf("schema %.60q, no metrics.json: %s", head.Schema, remedy)
	}
	if !known(head.Schema) {
		return metrics.Result{}, fmt.Errorf("schema %.60q, this program reads %q: measure the clip again with this program", head.Schema, metrics.SchemaVersion)
	}
	var r metrics.Result
	if err := json.Unmarshal(text, &r); err != nil {
		var te *json.UnmarshalTypeError
		if errors.As(err, &te) {
			return metrics.Result{}, fmt.Errorf("%s: %s does not fit here: measure the clip again", te.Field, te.Value)
		}
		return metrics.Result{}, fmt.Errorf("not a metrics.json: %s", remedy)
	}
	if len(r.Swings) == 0 {
		return metrics.Result{}, errors.New("no swings in it: leave it out, or film the swing again")
	}
	if err := check(r); err != nil {
		return metrics.Result{}, fmt.Errorf("%w: measure the clip again", err)
	}
	return r, nil
}

// known tells whether this program reads a version. Minor versions only add
// fields, so any of the same major one will do.
func known(schema string) bool {
	major := metrics.SchemaVersion[:strings.LastIndex(metrics.SchemaVersion, ".")+1]
	minor, ok := strings.CutPrefix(schema, major)
	return ok && minor != "" && strings.Trim(minor, "0123456789") == ""
}
