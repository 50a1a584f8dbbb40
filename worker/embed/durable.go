package embed

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"

	"github.com/aws/aws-sdk-go-v2/service/s3"
	"github.com/versity/versitygw/backend"
	"github.com/versity/versitygw/backend/posix"
	"github.com/versity/versitygw/s3response"
)

// durable confirms an object only when file and folder have reached the disk;
// the backend alone leaves that to the kernel's leisure.
type durable struct {
	*posix.Posix
	root string
}

var _ backend.Backend = durable{}

// PutObject stores an object and flushes it.
func (d durable) PutObject(ctx context.Context, in s3response.PutObjectInput) (s3response.PutObjectOutput, error) {
	bucket, key := cloned(in.Bucket), cloned(in.Key)
	out, err := d.Posix.PutObject(ctx, in)
	if err != nil {
		return out, err
	}
	return out, d.flush(bucket, key)
}

// CompleteMultipartUpload stores an object and flushes it.
func (d durable) CompleteMultipartUpload(ctx context.Context, in *s3.CompleteMultipartUploadInput) (s3response.CompleteMultipartUploadResult, string, error) {
	bucket, key := cloned(in.Bucket), cloned(in.Key)
	out, version, err := d.Posix.CompleteMultipartUpload(ctx, in)
	if err != nil {
		return out, version, err
	}
	return out, version, d.flush(bucket, key)
}

// cloned copies a string that points into a buffer the server uses again.
func cloned(s *string) string {
	if s == nil {
		return ""
	}
	return strings.Clone(*s)
}

// flush syncs the object's file and each folder up to the bucket's own.
func (d durable) flush(bucket, key string) error {
	top := filepath.Join(d.root, bucket)
	for p := filepath.Join(top, filepath.FromSlash(key)); strings.HasPrefix(p, d.root); p = filepath.Dir(p) {
		if err := syncPath(p); err != nil && !errors.Is(err, os.ErrNotExist) {
			return err // an object deleted meanwhile needs no flush
		}
		if p == top {
			break
		}
	}
	return nil
}

func syncPath(p string) error {
	f, err := os.Open(p)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}
