package bundle

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"ashline/worker/job"
)

// Writer takes objects.
type Writer interface {
	// Put stores a file under a key.
	Put(ctx context.Context, bucket, key, path, contentType string) error
	// Swap stores data in place of a version of an object, or under a free key
	// when version is empty; job.ErrExists if another version stands there.
	Swap(ctx context.Context, bucket, key, version string, data []byte, contentType string) error
}

// Reader gives objects.
type Reader interface {
	// Read returns an object of at most limit bytes and its version, which is never
	// empty; job.ErrNotFound if there is none.
	Read(ctx context.Context, bucket, key string, limit int64) (data []byte, version string, err error)
	// Fetch writes an object of at most limit bytes to a new file.
	Fetch(ctx context.Context, bucket, key, path string, limit int64) error
}

// Objects is a store as bundles need it.
type Objects interface {
	Writer
	Reader
}

// Commit uploads the files of dir and then the manifest, unless the submission
// has ended before, and returns how it has.
func Commit(ctx context.Context, objects Objects, bucket, dir string, m Manifest, s Submission) (End, error) {
	for _, f := range m.Files {
		if err := objects.Put(ctx, bucket, f.Key, filepath.Join(dir, filepath.FromSlash(f.Name)), f.Type); err != nil {
			return End{}, fmt.Errorf("bundle: put %q: %w", f.Name, err)
		}
	}
	return settle(ctx, objects, bucket, m.Key(), s, func(e End) any { return committed{m, e.Failures} })
}

// Load reads a manifest; job.ErrNotFound says that nothing is committed there.
func Load(ctx context.Context, from Reader, bucket, key string) (Manifest, error) {
	e, err := Look(ctx, from, bucket, key)
	switch {
	case err != nil:
		return Manifest{}, err
	case e.Manifest == nil:
		return Manifest{}, fmt.Errorf("bundle: %s: %w", ManifestName, job.ErrNotFound)
	}
	return *e.Manifest, nil
}

// Download writes the files of a committed bundle below dir and checks each
// against the manifest. A file that differs is removed again.
func Download(ctx context.Context, from Reader, bucket string, m Manifest, dir string) error {
	for _, f := range m.Files {
		p := filepath.Join(dir, filepath.FromSlash(f.Name))
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			return fmt.Errorf("bundle: %w", err)
		}
		if err := from.Fetch(ctx, bucket, f.Key, p, f.Size); err != nil {
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
