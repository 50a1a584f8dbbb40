package upkeep

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"

	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/job"
)

// Store is the store as Forget needs it.
type Store interface {
	// Folders calls fn with each folder right below a folder; both end in a slash.
	Folders(ctx context.Context, bucket, folder string, fn func(folder string) error) error
	// Under calls fn with the key of each object whose key begins so.
	Under(ctx context.Context, bucket, prefix string, fn func(key string) error) error
	// Remove deletes an object; one that is not there is no error.
	Remove(ctx context.Context, bucket, key string) error
}

// Hitter says who is to be forgotten. Ids are an academy's own: the same id in
// two academies is two people.
type Hitter struct {
	Bucket  string
	Academy string // empty: the only one that knows the hitter
	ID      string
}

// Check refuses what is no id or bucket.
func (h Hitter) Check() error {
	if err := checkID("hitter", h.ID); err != nil {
		return err
	}
	if h.Academy != "" {
		if err := checkID("academy", h.Academy); err != nil {
			return err
		}
	}
	return job.CheckBucket(h.Bucket)
}

// Forgotten lists what was removed.
type Forgotten struct {
	Hitter  string   `json:"hitter"`
	Objects []string `json:"objects"` // keys
	Jobs    int      `json:"jobs"`
	Events  int      `json:"events"`
	// Taken counts the removed jobs that a worker had or has: one that is at it
	// may still commit its result, so forget again when it is through.
	Taken int `json:"taken"`
}

// roots are the folders that hold one folder an academy.
var roots = []string{"clips/", "swings/"}

// Forget removes every object and message of a hitter. Jobs go first, so that
// none begins meanwhile, and events last: they are what leads to objects that
// lie elsewhere, and a Forget that broke off must find them again.
func Forget(ctx context.Context, q Queue, st Store, h Hitter) (Forgotten, error) {
	out := Forgotten{Hitter: h.ID, Objects: []string{}}
	if err := h.Check(); err != nil {
		return out, err
	}
	f := &forgetting{q: q, st: st, h: h, stray: map[string]bool{}, ids: map[string]bool{}, out: &out}
	for _, step := range []func(context.Context) error{f.readNews, f.findAcademies, f.removeJobs, f.removeObjects, f.removeNews} {
		if err := step(ctx); err != nil {
			return out, err
		}
	}
	return out, nil
}

// forgetting is one Forget under way.
type forgetting struct {
	q         Queue
	st        Store
	h         Hitter
	academies []string
	stray     map[string]bool // clips of the hitter outside of the hitter's folders
	ids       map[string]bool // of the hitter's jobs
	out       *Forgotten
}

// readNews learns from results which clips and academies are the hitter's.
func (f *forgetting) readNews(ctx context.Context) error {
	return f.q.Each(ctx, News, func(m Message) error {
		var v event.Measured
		if m.Subject != event.SubjectMeasured {
			return nil
		}
		if _, err := event.Decode(m.Data, m.Subject, &v); err != nil || v.Hitter != f.h.ID || v.Bucket != f.h.Bucket {
			return nil //nolint:nilerr // what is no event is nobody's
		}
		if f.h.Academy != "" && v.Academy != f.h.Academy {
			return nil
		}
		f.addAcademy(v.Academy)
		f.ids[v.Job.ID] = true
		if job.CheckKey(v.Job.Key) == nil {
			f.stray[v.Job.Key] = true
		}
		return nil
	})
}

func (f *forgetting) addAcademy(a string) {
	if a == "" {
		a = bundle.Nobody
	}
	if !slices.Contains(f.academies, a) {
		f.academies = append(f.academies, a)
	}
}

// findAcademies lists those that have a folder of the hitter.
func (f *forgetting) findAcademies(ctx context.Context) error {
	if f.h.Academy != "" {
		f.academies = []string{f.h.Academy}
		return nil
	}
	for _, root := range roots {
		var folders []string
		err := f.st.Folders(ctx, f.h.Bucket, root, func(folder string) error {
			folders = append(folders, folder)
			return nil
		})
		if err != nil {
			return err
		}
		for _, folder := range folders {
			err := f.st.Folders(ctx, f.h.Bucket, folder, func(sub string) error {
				if sub == folder+f.h.ID+"/" {
					f.addAcademy(path.Base(folder))
				}
				return nil
			})
			if err != nil {
				return err
			}
		}
	}
	if len(f.academies) > 1 {
		return fmt.Errorf("upkeep: %w: %d academies know a hitter %q: say which one is meant", job.ErrBadInput, len(f.academies), f.h.ID)
	}
	return nil
}

// owns reports whether a clip is the hitter's.
func (f *forgetting) owns(j job.Job) bool {
	if j.Bucket != f.h.Bucket {
		return false
	}
	if f.stray[j.Key] || f.ids[j.ID] {
		return true
	}
	parts := strings.Split(j.Key, "/")
	if len(parts) < 4 || parts[0] != "clips" || parts[2] != f.h.ID {
		return false
	}
	return len(f.academies) == 0 || slices.Contains(f.academies, parts[1])
}

func (f *forgetting) removeJobs(ctx context.Context) error {
	var found []Message
	err := f.q.Each(ctx, Jobs, func(m Message) error {
		if j, err := job.Parse(m.Data); err == nil && f.owns(j) {
			f.ids[j.ID] = true
			found = append(found, m)
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, m := range found {
		if err := f.q.Remove(ctx, Jobs, m.Seq); err != nil {
			return err
		}
		f.out.Jobs++
		if m.Taken {
			f.out.Taken++
		}
	}
	return nil
}

func (f *forgetting) removeObjects(ctx context.Context) error {
	var keys []string
	add := func(key string) error {
		keys = append(keys, key)
		return nil
	}
	for _, academy := range f.academies {
		for _, root := range roots {
			if err := f.st.Under(ctx, f.h.Bucket, root+academy+"/"+f.h.ID+"/", add); err != nil {
				return err
			}
		}
	}
	// A clip that lay elsewhere goes with what belongs to it alone; a session's
	// card is the others' too.
	for clip := range f.stray {
		base := strings.TrimSuffix(clip, path.Ext(clip))
		own := []string{clip, base + ".card.yaml", base + ".card.json"}
		err := f.st.Under(ctx, f.h.Bucket, base, func(key string) error {
			if slices.Contains(own, key) && !slices.Contains(keys, key) {
				keys = append(keys, key)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	slices.Sort(keys)
	for _, key := range keys {
		if err := f.st.Remove(ctx, f.h.Bucket, key); err != nil {
			return err
		}
		f.out.Objects = append(f.out.Objects, key)
	}
	return nil
}

func (f *forgetting) removeNews(ctx context.Context) error {
	var seqs []uint64
	// Progress comes before the event that tells whose job it is, so ids are
	// gathered first.
	for _, collect := range []bool{false, true} {
		err := f.q.Each(ctx, News, func(m Message) error {
			mine := f.ours(m)
			if mine && collect {
				seqs = append(seqs, m.Seq)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	for _, seq := range seqs {
		if err := f.q.Remove(ctx, News, seq); err != nil {
			return err
		}
		f.out.Events++
	}
	return nil
}

// ours reports whether an event is about the hitter, and notes its job.
func (f *forgetting) ours(m Message) bool {
	var about struct {
		Job   job.Job `json:"job"`
		JobID string  `json:"job_id"`
	}
	if _, err := event.Decode(m.Data, m.Subject, &about); err != nil {
		return false
	}
	if f.ids[about.JobID] || f.owns(about.Job) {
		if about.Job.ID != "" {
			f.ids[about.Job.ID] = true
		}
		return true
	}
	return false
}
