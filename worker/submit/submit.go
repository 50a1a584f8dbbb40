package submit

import (
	"context"
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"strings"

	"ashline/pipeline/card"
	"ashline/worker/bundle"
	"ashline/worker/job"
)

// Objects takes what is uploaded.
type Objects interface {
	Put(ctx context.Context, bucket, key, path, contentType string) error
	Has(ctx context.Context, bucket, key string) (bool, error)
}

// Queue takes jobs.
type Queue interface {
	Submit(ctx context.Context, j job.Job) (known bool, err error)
}

// Submitter sends clips to one bucket and queue.
type Submitter struct {
	Objects  Objects
	Queue    Queue
	Bucket   string
	Products []string // empty: all
	Salt     string   // tells a wanted repetition from an unwanted one; empty: none is wanted
}

// Submit uploads a clip with its cards and asks for it to be measured. Known
// says that the queue had the same job already.
func (s Submitter) Submit(ctx context.Context, c Clip) (j job.Job, known bool, err error) {
	merged, err := card.Load(c.Cards...)
	if err != nil {
		return job.Job{}, false, fmt.Errorf("submit: %w: %w", job.ErrBadInput, err)
	}
	owner := bundle.Owner{Academy: merged.Academy, Hitter: merged.Hitter}
	for _, id := range []string{owner.Academy, owner.Hitter} {
		if id != "" && !job.ValidID(id) {
			return job.Job{}, false, fmt.Errorf("submit: %w: %q is not an id", job.ErrBadInput, id)
		}
	}
	sum, size, err := bundle.HashFile(c.Path)
	if err != nil {
		return job.Job{}, false, fmt.Errorf("submit: %w: %w", job.ErrBadInput, err)
	}
	if size == 0 {
		return job.Job{}, false, fmt.Errorf("submit: %w: %q is empty", job.ErrBadInput, c.Path)
	}
	folder := bundle.ClipPrefix(owner, sum)
	j = job.Job{
		Schema: job.Schema, Bucket: s.Bucket, Key: folder + "clip" + strings.ToLower(filepath.Ext(c.Path)),
		Name: plainName(c.Name), ClipSHA256: sum, Products: s.Products,
	}
	for _, p := range c.Cards {
		cardSum, _, err := bundle.HashFile(p)
		if err != nil {
			return job.Job{}, false, fmt.Errorf("submit: %w: %w", job.ErrBadInput, err)
		}
		key := folder + "cards/" + cardSum[:16] + "/" + cardName(p)
		if err := s.put(ctx, key, p, "application/yaml"); err != nil {
			return job.Job{}, false, err
		}
		j.Cards = append(j.Cards, key)
	}
	if err := s.put(ctx, j.Key, c.Path, videoType(j.Key)); err != nil {
		return job.Job{}, false, err
	}
	j.ID = j.NewID(s.Salt)
	known, err = s.Queue.Submit(ctx, j)
	return j, known, err
}

// put uploads unless the object is there; a key names its content, so it is
// then the same. An account that may only write cannot look and writes.
func (s Submitter) put(ctx context.Context, key, p, contentType string) error {
	ok, err := s.Objects.Has(ctx, s.Bucket, key)
	if ok || err != nil && !errors.Is(err, job.ErrDenied) {
		return err
	}
	return s.Objects.Put(ctx, s.Bucket, key, p, contentType)
}

// cardName is what a worker's errors call the card: its kind, not the file's
// own name.
func cardName(p string) string {
	switch {
	case filepath.Base(p) == card.SessionName:
		return card.SessionName
	case strings.HasSuffix(p, ".json"):
		return "clip.card.json"
	default:
		return "clip" + card.Suffix
	}
}

// plainName keeps what a job's name may hold.
func plainName(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == '\ufffd' {
			return '_'
		}
		return r
	}, s)
	if r := []rune(s); len(r) > 100 {
		s = string(r[:100])
	}
	if (job.Job{Schema: job.Schema, ID: "x", Bucket: "name", Key: "x.mp4", Name: s}).Check() != nil {
		return "clip"
	}
	return s
}

func videoType(key string) string {
	switch path.Ext(key) {
	case ".mov":
		return "video/quicktime"
	case ".mkv":
		return "video/x-matroska"
	case ".webm":
		return "video/webm"
	case ".avi":
		return "video/x-msvideo"
	case ".3gp":
		return "video/3gpp"
	default:
		return "video/mp4"
	}
}
