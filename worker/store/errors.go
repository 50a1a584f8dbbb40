package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"net/url"

	"ashline/worker/job"

	"github.com/minio/minio-go/v7"
)

// wrap gives the client's error the sentinel the worker path knows. The
// client's own text stays out where it could name a host with credentials.
func wrap(what string, err error) error {
	if err == nil {
		return nil
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("store: %s: %w", what, err)
	}
	if pe := (*fs.PathError)(nil); errors.As(err, &pe) { // of a file here; its path tells the submitter nothing
		return fmt.Errorf("store: %s: %w: a file of this worker: %w", what, job.ErrTransient, pe.Err)
	}
	r := minio.ToErrorResponse(err)
	switch {
	case r.StatusCode == http.StatusNotFound || r.Code == "NoSuchKey" || r.Code == "NoSuchBucket":
		return fmt.Errorf("store: %s: %w", what, job.ErrNotFound)
	case r.StatusCode == http.StatusPreconditionFailed || r.Code == "PreconditionFailed":
		return fmt.Errorf("store: %s: %w", what, job.ErrExists)
	case r.StatusCode == http.StatusForbidden || r.Code == "AccessDenied":
		return fmt.Errorf("store: %s: %s: %w", what, r.Code, job.ErrDenied)
	case r.StatusCode != 0:
		return fmt.Errorf("store: %s: status %d %s: %w", what, r.StatusCode, r.Code, job.ErrTransient)
	}
	var ne net.Error
	var ue *url.Error
	if errors.As(err, &ne) || errors.As(err, &ue) || errors.Is(err, net.ErrClosed) {
		return fmt.Errorf("store: %s: %w: %s", what, job.ErrUnreachable, cause(err))
	}
	return fmt.Errorf("store: %s: %w: %w", what, job.ErrTransient, err)
}

// cause is the innermost text of a network error, without the URL.
func cause(err error) string {
	var ue *url.Error
	if errors.As(err, &ue) {
		return ue.Err.Error()
	}
	return err.Error()
}

func redactURL(s string) string {
	u, err := url.Parse(s)
	if err != nil {
		return "?"
	}
	return u.Redacted()
}
