package fake

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"slices"
	"sync"

	"ashline/worker"
	"ashline/worker/job"
)

// Store is an object store in memory.
type Store struct {
	// Fault, when set, is asked before each operation (put, swap, read,
	// fetch, has, ready); its error is returned instead of doing it.
	Fault func(op, key string) error

	mu      sync.Mutex
	objects map[string][]byte
}

var _ worker.Objects = (*Store)(nil)

// NewStore makes an empty store.
func NewStore() *Store { return &Store{objects: map[string][]byte{}} }

func (s *Store) enter(ctx context.Context, op, bucket, key string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := job.CheckBucket(bucket); err != nil {
		return err
	}
	if err := job.CheckKey(key); err != nil {
		return err
	}
	if s.Fault != nil {
		return s.Fault(op, key)
	}
	return nil
}

// Put stores a file.
func (s *Store) Put(ctx context.Context, bucket, key, path, _ string) error {
	if err := s.enter(ctx, "put", bucket, key); err != nil {
		return err
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	s.set(bucket, key, data)
	return nil
}

// Store stores data, whether or not the key is free.
func (s *Store) Store(ctx context.Context, bucket, key string, data []byte) error {
	if err := s.enter(ctx, "put", bucket, key); err != nil {
		return err
	}
	s.set(bucket, key, data)
	return nil
}

func (s *Store) set(bucket, key string, data []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.objects[bucket+"/"+key] = slices.Clone(data)
}

// Swap stores data in place of a version.
func (s *Store) Swap(ctx context.Context, bucket, key, version string, data []byte, _ string) error {
	if err := s.enter(ctx, "swap", bucket, key); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if old, ok := s.objects[bucket+"/"+key]; ok != (version != "") || ok && tag(old) != version {
		return fmt.Errorf("fake: swap: %w", job.ErrExists)
	}
	s.objects[bucket+"/"+key] = slices.Clone(data)
	return nil
}

// tag tells contents apart; equal ones have the same, as in the real store.
func tag(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:16])
}

// Read returns a small object.
func (s *Store) Read(ctx context.Context, bucket, key string, limit int64) (data []byte, version string, err error) {
	if err := s.enter(ctx, "read", bucket, key); err != nil {
		return nil, "", err
	}
	if data, err = s.get(bucket, key, limit); err != nil {
		return nil, "", err
	}
	return data, tag(data), nil
}

// Fetch writes an object to a new file.
func (s *Store) Fetch(ctx context.Context, bucket, key, path string, limit int64) error {
	if err := s.enter(ctx, "fetch", bucket, key); err != nil {
		return err
	}
	data, err := s.get(bucket, key, limit)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return err
}

// Has reports whether an object is there.
func (s *Store) Has(ctx context.Context, bucket, key string) (bool, error) {
	if err := s.enter(ctx, "has", bucket, key); err != nil {
		return false, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	_, ok := s.objects[bucket+"/"+key]
	return ok, nil
}

// Ready reports whether the store answers.
func (s *Store) Ready(ctx context.Context, bucket string) error {
	return s.enter(ctx, "ready", bucket, "x")
}

// Keys lists what a bucket holds, sorted.
func (s *Store) Keys(bucket string) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []string
	for k := range s.objects {
		if len(k) > len(bucket) && k[:len(bucket)+1] == bucket+"/" {
			out = append(out, k[len(bucket)+1:])
		}
	}
	slices.Sort(out)
	return out
}

func (s *Store) get(bucket, key string, limit int64) ([]byte, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	data, ok := s.objects[bucket+"/"+key]
	if !ok {
		return nil, fmt.Errorf("fake: %w", job.ErrNotFound)
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("fake: %w: %d bytes, more than %d", job.ErrBadInput, len(data), limit)
	}
	return slices.Clone(data), nil
}
