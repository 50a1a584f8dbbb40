package bundle

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"ashline/worker/job"
)

// ErrUnsure means: the manifest was sent and it is not known whether it is
// stored, or will be. Rare; wraps the reason.
var ErrUnsure = errors.New("bundle: commit")

// Sink takes objects.
type Sink interface {
	// Put stores a file under a key.
	Put(ctx context.Context, bucket, key, path, contentType string) error
	// Create stores data under a key that must not exist; job.ErrExists if it does.
	Create(ctx context.Context, bucket, key string, data []byte, contentType string) error
}

// Origin gives objects.
type Origin interface {
	// Read returns an object of at most limit bytes; job.ErrNotFound if there is none.
	Read(ctx context.Context, bucket, key string, limit int64) ([]byte, error)
	// Fetch writes an object of at most limit bytes to a new file.
	Fetch(ctx context.Context, bucket, key, path string, limit int64) error
}

// Commit uploads the files of dir and then the manifest. When another attempt
// has committed first, the manifest that stands is returned instead.
func Commit(ctx context.Context, sink Sink, origin Origin, bucket, dir string, m Manifest) (Manifest, error) {
	for _, f := range m.Files {
		if err := sink.Put(ctx, bucket, f.Key, filepath.Join(dir, filepath.FromSlash(f.Name)), f.Type); err != nil {
			return Manifest{}, fmt.Errorf("bundle: put %q: %w", f.Name, err)
		}
	}
	raw, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return Manifest{}, fmt.Errorf("bundle: manifest: %w", err)
	}
	err = sink.Create(ctx, bucket, m.Key(), raw, "application/json")
	if err == nil || errors.Is(err, job.ErrLostLease) {
		return m, err
	}
	// It exists, or it was stored and only the answer was lost.
	stands, lerr := Load(ctx, origin, bucket, m.Key())
	switch {
	case lerr == nil:
		return stands, nil
	case errors.Is(err, job.ErrExists):
		return Manifest{}, lerr
	default:
		return Manifest{}, fmt.Errorf("%w: %w", ErrUnsure, err)
	}
}

// Load reads a manifest; job.ErrNotFound says that nothing is committed there.
func Load(ctx context.Context, origin Origin, bucket, key string) (Manifest, error) {
	raw, err := origin.Read(ctx, bucket, key, maxManifestBytes)
	if err != nil {
		return Manifest{}, fmt.Errorf("bundle: manifest: %w", err)
	}
	return decodeManifest(raw)
}

// Download writes the files of a committed bundle below dir and checks each
// against the manifest. A file that differs is removed again.
func Download(ctx context.Context, origin Origin, bucket string, m Manifest, dir string) error {
	for _, f := range m.Files {
		p := filepath.Join(dir, filepath.FromSlash(f.Name))
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			return fmt.Errorf("bundle: %w", err)
		}
		if err := origin.Fetch(ctx, bucket, f.Key, p, f.Size); err != nil {
			return fmt.Errorf("bundle: fetch %q: %w", f.Name, err)
		}
		sum, size, err := HashFile(p)
		if err != nil {
			return fmt.Errorf("bundle: %w", err)
		}
		if sum != f.SHA256 || size != f.Size {
			os.Remove(p)
			return fmt.Errorf("%w: %q", ErrCorrupt, f.Name)
		}
	}
	return nil
}
