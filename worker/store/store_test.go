package store_test

import (
	"context"
	"encoding/base64"
	"encoding/binary"
	"encoding/pem"
	"errors"
	"hash/crc32"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"ashline/worker/job"
	"ashline/worker/store"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func TestURL(t *testing.T) {
	t.Parallel()
	for url, ok := range map[string]bool{
		"http://127.0.0.1:7070": true, "https://store.example/": true,
		"": false, "127.0.0.1:7070": false, "ftp://x": false, "http://x/path": false, "http://user:word@x": false,
	} {
		s, err := store.New(store.Config{URL: url})
		if (err == nil) != ok {
			t.Errorf("%q: %v", url, err)
		}
		if err != nil && strings.Contains(err.Error(), "word") {
			t.Errorf("the error tells a password: %v", err)
		}
		if s != nil {
			s.Close()
		}
	}
}

// answering is a store that answers everything in the same way.
func answering(t *testing.T, status int, code string) *store.Store {
	t.Helper()
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/xml")
		w.WriteHeader(status)
		_, _ = w.Write([]byte("<Error><Code>" + code + "</Code><Message>m</Message></Error>"))
	}))
	t.Cleanup(srv.Close)
	s, err := store.New(store.Config{URL: srv.URL, Access: "a", Secret: "s", Tries: 1})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

func TestErrors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		status int
		code   string
		want   error
	}{
		{404, "NoSuchKey", job.ErrNotFound},
		{404, "NoSuchBucket", job.ErrNotFound},
		{412, "PreconditionFailed", job.ErrExists},
		{403, "AccessDenied", job.ErrDenied},
		{403, "SignatureDoesNotMatch", job.ErrDenied},
		{500, "InternalError", job.ErrTransient},
		{503, "SlowDown", job.ErrTransient},
		{400, "BadDigest", job.ErrTransient},
	} {
		t.Run(c.code, func(t *testing.T) {
			t.Parallel()
			s := answering(t, c.status, c.code)
			if err := s.Swap(t.Context(), "bucket", "k", "", []byte("x"), "text/plain"); !errors.Is(err, c.want) {
				t.Errorf("Create: got %v, want %v", err, c.want)
			}
			if _, _, err := s.Read(t.Context(), "bucket", "k", 9); !errors.Is(err, c.want) {
				t.Errorf("Read: got %v, want %v", err, c.want)
			}
		})
	}
}

func TestNobodyThere(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr := l.Addr().String()
	l.Close()
	s, err := store.New(store.Config{URL: "http://" + addr, Tries: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.EnsureBucket(t.Context(), "bucket"); !errors.Is(err, job.ErrUnreachable) {
		t.Fatalf("got %v, want ErrUnreachable", err)
	}
}

// What arrives is held against the store's checksum.
func TestDamagedOnTheWay(t *testing.T) {
	t.Parallel()
	const text = "frames"
	for name, c := range map[string]struct {
		sum  string // CRC-32C of the text by RFC 3720's polynomial, base64
		want bool
	}{"whole": {crc32c(text), true}, "damaged": {crc32c("framez"), false}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				h := w.Header()
				h.Set("ETag", `"e"`)
				h.Set("Last-Modified", time.Unix(1, 0).UTC().Format(http.TimeFormat))
				h.Set("Content-Length", strconv.Itoa(len(text)))
				if r.Header.Get("X-Amz-Checksum-Mode") == "ENABLED" {
					h.Set("X-Amz-Checksum-Crc32c", c.sum)
					h.Set("X-Amz-Checksum-Type", "FULL_OBJECT")
				}
				if r.Method == http.MethodGet {
					_, _ = w.Write([]byte(text))
				}
			}))
			t.Cleanup(srv.Close)
			s, err := store.New(store.Config{URL: srv.URL, Access: "a", Secret: "s", Tries: 1})
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(s.Close)
			p := filepath.Join(t.TempDir(), "f")
			err = s.Fetch(t.Context(), "bucket", "k", p, 100)
			if got := err == nil; got != c.want || err != nil && job.Classify(err) != job.Transient {
				t.Errorf("got %v", err)
			}
			if _, serr := os.Stat(p); (serr == nil) != c.want {
				t.Errorf("file stands: %v", serr)
			}
		})
	}
}

func crc32c(s string) string {
	sum := crc32.Checksum([]byte(s), crc32.MakeTable(crc32.Castagnoli))
	return base64.StdEncoding.EncodeToString(binary.BigEndian.AppendUint32(nil, sum))
}

// Only a store whose certificate our own authority vouches for is spoken to.
func TestTLS(t *testing.T) {
	t.Parallel()
	srv := httptest.NewTLSServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) {}))
	srv.Config.ErrorLog = log.New(io.Discard, "", 0) // of the handshake that is refused
	t.Cleanup(srv.Close)
	file := filepath.Join(t.TempDir(), "ca.pem")
	block := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: srv.Certificate().Raw})
	if err := os.WriteFile(file, block, 0o600); err != nil {
		t.Fatal(err)
	}
	for ca, ok := range map[string]bool{file: true, "": false} {
		s, err := store.New(store.Config{URL: srv.URL, Access: "a", Secret: "s", Tries: 1, CAFile: ca})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(s.Close)
		if err := s.Ready(t.Context(), "bucket"); (err == nil) != ok || err != nil && !errors.Is(err, job.ErrUnreachable) {
			t.Errorf("certificates %q: got %v", ca, err)
		}
	}
	if _, err := store.New(store.Config{URL: srv.URL, CAFile: file + "x"}); err == nil {
		t.Error("a missing file of certificates goes unnoticed")
	}
}

// A store that accepts and then says nothing must not hold a worker for ever.
func TestStalledConnectionIsCut(t *testing.T) {
	t.Parallel()
	release := make(chan struct{})
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodHead {
			w.Header().Set("Content-Length", "1000")
			w.Header().Set("ETag", `"e"`)
			w.Header().Set("Last-Modified", time.Unix(1, 0).UTC().Format(http.TimeFormat))
			return
		}
		w.Header().Set("Content-Length", "1000")
		w.Header().Set("ETag", `"e"`)
		w.Header().Set("Last-Modified", time.Unix(1, 0).UTC().Format(http.TimeFormat))
		_, _ = w.Write([]byte("the beginning"))
		w.(http.Flusher).Flush()
		<-release
	}))
	t.Cleanup(srv.Close)
	t.Cleanup(func() { close(release) })
	s, err := store.New(store.Config{URL: srv.URL, Access: "a", Secret: "s", Tries: 1, Stall: 200 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	p := filepath.Join(t.TempDir(), "f")
	err = s.Fetch(ctx, "bucket", "k", p, 2000)
	if job.Classify(err) != job.Transient || ctx.Err() != nil {
		t.Fatalf("got %v (context %v), want a transient error", err, ctx.Err())
	}
	if _, err := os.Stat(p); err == nil {
		t.Error("half a file stands under the name of a whole one")
	}
}
