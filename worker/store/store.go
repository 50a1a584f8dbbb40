package store

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"ashline/worker/bundle"
	"ashline/worker/job"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
)

// Config says where the store is and who asks.
type Config struct {
	URL    string // http or https, host and port only
	Access string // access key id
	Secret string
	CAFile string        // file with the certificates (PEM) that vouch for the store. Defaults to the system's.
	Region string        // Defaults to us-east-1.
	Stall  time.Duration // a connection without a byte for so long is cut. Defaults to 30 s.
	Tries  int           // per request, the first one counted. Defaults to 4.
}

// Store is a client of one S3 store. It is safe for concurrent use.
type Store struct {
	client    *minio.Client
	transport *http.Transport
}

var (
	_ bundle.Writer = (*Store)(nil)
	_ bundle.Reader = (*Store)(nil)
)

// partBytes is the size of a part of a large upload: one is held at a time.
const partBytes = 16 << 20

// New makes a client. Nothing is sent yet.
func New(cfg Config) (*Store, error) {
	u, err := url.Parse(cfg.URL)
	if err != nil || u.Host == "" || (u.Scheme != "http" && u.Scheme != "https") || (u.Path != "" && u.Path != "/") || u.User != nil {
		return nil, fmt.Errorf("store: URL %q is not like http://host:port", redactURL(cfg.URL))
	}
	if cfg.Region == "" {
		cfg.Region = "us-east-1"
	}
	if cfg.Stall == 0 {
		cfg.Stall = 30 * time.Second
	}
	if cfg.Tries == 0 {
		cfg.Tries = 4
	}
	tr := &http.Transport{
		DialContext:           stallDialer(cfg.Stall),
		MaxIdleConnsPerHost:   8,
		IdleConnTimeout:       60 * time.Second,
		TLSHandshakeTimeout:   10 * time.Second,
		ResponseHeaderTimeout: cfg.Stall,
		DisableCompression:    true, // an object is to arrive as it was stored
	}
	if cfg.CAFile != "" {
		pem, err := os.ReadFile(cfg.CAFile)
		if err != nil {
			return nil, fmt.Errorf("store: certificates: %w", err)
		}
		pool := x509.NewCertPool()
		if !pool.AppendCertsFromPEM(pem) {
			return nil, fmt.Errorf("store: no certificate in %q", cfg.CAFile)
		}
		tr.TLSClientConfig = &tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS12}
	}
	c, err := minio.New(u.Host, &minio.Options{
		Creds: credentials.NewStaticV4(cfg.Access, cfg.Secret, ""), Secure: u.Scheme == "https",
		Region: cfg.Region, BucketLookup: minio.BucketLookupPath, Transport: tr, MaxRetries: cfg.Tries,
	})
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	return &Store{client: c, transport: tr}, nil
}

// Close lets idle connections go.
func (s *Store) Close() { s.transport.CloseIdleConnections() }

// Ready reports whether the store answers for a bucket.
func (s *Store) Ready(ctx context.Context, bucket string) error {
	ok, err := s.client.BucketExists(ctx, bucket)
	if err != nil {
		return wrap("bucket "+bucket, err)
	}
	if !ok {
		return fmt.Errorf("store: bucket %q: %w", bucket, job.ErrNotFound)
	}
	return nil
}

// EnsureBucket makes a bucket unless it is there.
func (s *Store) EnsureBucket(ctx context.Context, bucket string) error {
	if err := job.CheckBucket(bucket); err != nil {
		return err
	}
	err := s.Ready(ctx, bucket)
	if !errors.Is(err, job.ErrNotFound) {
		return err
	}
	err = s.client.MakeBucket(ctx, bucket, minio.MakeBucketOptions{})
	if code := minio.ToErrorResponse(err).Code; code == "BucketAlreadyOwnedByYou" {
		return nil
	}
	return wrap("make bucket "+bucket, err)
}

// Put stores a file.
func (s *Store) Put(ctx context.Context, bucket, key, path, contentType string) error {
	if err := check(bucket, key); err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	_, err = s.client.PutObject(ctx, bucket, key, f, st.Size(), minio.PutObjectOptions{
		ContentType: contentType, SendContentMd5: true, PartSize: partBytes,
	})
	return wrap("put", err)
}

// Swap stores data in place of a version of an object, or under a free key when
// version is empty; job.ErrExists if another version, or none, stands there.
func (s *Store) Swap(ctx context.Context, bucket, key, version string, data []byte, contentType string) error {
	if err := check(bucket, key); err != nil {
		return err
	}
	opts := minio.PutObjectOptions{ContentType: contentType, SendContentMd5: true, DisableMultipart: true}
	if version == "" {
		opts.SetMatchETagExcept("*") // only a single PUT carries the condition
	} else {
		opts.SetMatchETag(version)
	}
	_, err := s.client.PutObject(ctx, bucket, key, bytes.NewReader(data), int64(len(data)), opts)
	err = wrap("swap", err)
	if version != "" && errors.Is(err, job.ErrNotFound) {
		return fmt.Errorf("store: swap: %w: removed", job.ErrExists)
	}
	return err
}

// Read returns a small object and its entity tag.
func (s *Store) Read(ctx context.Context, bucket, key string, limit int64) (data []byte, version string, err error) {
	if err := check(bucket, key); err != nil {
		return nil, "", err
	}
	o, err := s.client.GetObject(ctx, bucket, key, minio.GetObjectOptions{})
	if err != nil {
		return nil, "", wrap("read", err)
	}
	defer o.Close()
	if data, err = io.ReadAll(io.LimitReader(o, limit+1)); err != nil {
		return nil, "", wrap("read", err)
	}
	if int64(len(data)) > limit {
		return nil, "", tooLarge(int64(len(data)), limit)
	}
	st, err := o.Stat() // as it came with the data
	if err != nil {
		return nil, "", wrap("read", err)
	}
	return data, st.ETag, nil
}

// Fetch writes an object to a file that must not exist. The client keeps its
// part file beside it, so the folder must belong to this attempt alone.
func (s *Store) Fetch(ctx context.Context, bucket, key, path string, limit int64) error {
	if err := check(bucket, key); err != nil {
		return err
	}
	st, err := s.client.StatObject(ctx, bucket, key, minio.StatObjectOptions{})
	if err != nil {
		return wrap("stat", err)
	}
	if st.Size > limit {
		return tooLarge(st.Size, limit)
	}
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("store: %q is already there", filepath.Base(path))
	}
	opts := minio.GetObjectOptions{Checksum: true} // held against the one that the store has, if any
	if err := opts.SetMatchETag(st.ETag); err != nil {
		return fmt.Errorf("store: %w", err)
	}
	err = wrap("fetch", s.client.FGetObject(ctx, bucket, key, path, opts))
	if errors.Is(err, job.ErrExists) { // another version than a moment ago
		return fmt.Errorf("store: fetch: %w: the object was replaced meanwhile", job.ErrTransient)
	}
	if err != nil {
		return err
	}
	got, err := os.Stat(path)
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	if got.Size() != st.Size {
		return fmt.Errorf("store: fetch: %d of %d bytes: %w", got.Size(), st.Size, job.ErrTransient)
	}
	return nil
}

// Has reports whether an object is there.
func (s *Store) Has(ctx context.Context, bucket, key string) (bool, error) {
	if err := check(bucket, key); err != nil {
		return false, err
	}
	_, err := s.client.StatObject(ctx, bucket, key, minio.StatObjectOptions{})
	err = wrap("stat", err)
	if errors.Is(err, job.ErrNotFound) {
		return false, nil
	}
	return err == nil, err
}

// Link returns a link to one object that needs no account and expires.
func (s *Store) Link(ctx context.Context, bucket, key string, life time.Duration) (string, error) {
	if err := check(bucket, key); err != nil {
		return "", err
	}
	u, err := s.client.PresignedGetObject(ctx, bucket, key, life, nil)
	if err != nil {
		return "", wrap("link", err)
	}
	return u.String(), nil
}

func check(bucket, key string) error {
	if err := job.CheckBucket(bucket); err != nil {
		return err
	}
	return job.CheckKey(key)
}

func tooLarge(size, limit int64) error {
	return fmt.Errorf("%w: %d bytes, more than %d", job.ErrBadInput, size, limit)
}
