package store

import (
	"context"

	"ashline/worker/job"

	"github.com/minio/minio-go/v7"
)

// Under calls fn with the key of each object whose key begins with a prefix. It
// stops at fn's first error.
func (s *Store) Under(ctx context.Context, bucket, prefix string, fn func(key string) error) error {
	return s.list(ctx, bucket, prefix, true, fn)
}

// Folders calls fn with each folder right below a folder, ending in a slash.
func (s *Store) Folders(ctx context.Context, bucket, folder string, fn func(folder string) error) error {
	return s.list(ctx, bucket, folder, false, func(key string) error {
		if key[len(key)-1] != '/' {
			return nil
		}
		return fn(key)
	})
}

func (s *Store) list(ctx context.Context, bucket, prefix string, deep bool, fn func(string) error) error {
	if err := check(bucket, prefix+"x"); err != nil { // a folder ends in a slash, a key does not
		return err
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel() // ends the listing when fn has had enough
	for o := range s.client.ListObjects(ctx, bucket, minio.ListObjectsOptions{Prefix: prefix, Recursive: deep}) {
		if o.Err != nil {
			return wrap("list", o.Err)
		}
		if o.Key == "" || o.Key == prefix && !deep {
			continue
		}
		if err := fn(o.Key); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// Remove deletes an object; one that is not there is no error.
func (s *Store) Remove(ctx context.Context, bucket, key string) error {
	if err := check(bucket, key); err != nil {
		return err
	}
	return wrap("remove", s.client.RemoveObject(ctx, bucket, key, minio.RemoveObjectOptions{}))
}

// SetPolicy says who may do what in a bucket. It needs the rights of the
// bucket's owner.
func (s *Store) SetPolicy(ctx context.Context, bucket, policy string) error {
	if err := job.CheckBucket(bucket); err != nil {
		return err
	}
	return wrap("policy", s.client.SetBucketPolicy(ctx, bucket, policy))
}
