package bundle_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"

	"ashline/worker/bundle"
	"ashline/worker/fake"
	"ashline/worker/job"
)

// Many workers end submissions of one question at the same time, each some of
// them twice and in different ways. Every one hears the same end of a submission,
// and hears it again later.
func TestOneEndEach(t *testing.T) {
	t.Parallel()
	const workers, submissions = 8, 6
	for seed := range uint64(20) {
		dir, s := result(t), fake.NewStore()
		m, err := bundle.Describe(dir, bundle.Identity{ClipSHA256: "a"}, bundle.Owner{})
		if err != nil {
			t.Fatal(err)
		}
		var mu sync.Mutex
		heard := map[bundle.Submission]string{}
		hear := func(sub bundle.Submission, e bundle.End) {
			f, failed := e.Failure(sub)
			got := "bundle"
			if failed {
				got = f.Reason
			} else if e.Manifest == nil {
				got = "nothing"
			}
			mu.Lock()
			defer mu.Unlock()
			if was, ok := heard[sub]; ok && was != got {
				t.Errorf("seed %d: %v ended as %q and as %q", seed, sub, was, got)
			}
			heard[sub] = got
		}
		var wait sync.WaitGroup
		for w := range workers {
			wait.Go(func() {
				r := rand.New(rand.NewPCG(seed, uint64(w)))
				for _, i := range r.Perm(submissions) {
					sub := bundle.Submission{Job: "j", Origin: fmt.Sprint(i)}
					var end bundle.End
					var err error
					if r.IntN(8) == 0 {
						end, err = bundle.Commit(t.Context(), s, "ashline", dir, m, sub)
					} else {
						end, err = bundle.Fail(t.Context(), s, "ashline", m.Key(), bundle.Failure{Submission: sub, Reason: fmt.Sprint("worker ", w)})
					}
					if err != nil {
						t.Error(err)
					}
					hear(sub, end)
				}
			})
		}
		wait.Wait()
		last, err := bundle.Look(t.Context(), s, "ashline", m.Key())
		if err != nil {
			t.Fatal(err)
		}
		for sub := range heard {
			hear(sub, last)
		}
	}
}

func TestAnswersThatAreLost(t *testing.T) {
	t.Parallel()
	sub := bundle.Submission{Job: "j", Origin: "1"}
	f := bundle.Failure{Submission: sub, Class: job.BadInput, Reason: "no video"}
	for name, c := range map[string]struct {
		fault func(op string, n int) error
		want  error
	}{
		"all is well":          {func(string, int) error { return nil }, nil},
		"not stored":           {func(op string, _ int) error { return refuse(op == "swap") }, job.ErrTransient},
		"store away afterward": {func(_ string, n int) error { return refuse(n > 1) }, job.ErrTransient},
		"store away at once":   {func(string, int) error { return refuse(true) }, job.ErrTransient},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := fake.NewStore()
			n := 0
			s.Fault = func(op, _ string) error {
				n++
				return c.fault(op, n)
			}
			if _, err := bundle.Fail(t.Context(), s, "ashline", "swings/_/_/x/manifest.json", f); !errors.Is(err, c.want) {
				t.Errorf("got %v, want %v", err, c.want)
			}
		})
	}
}

func refuse(yes bool) error {
	if yes {
		return job.ErrTransient
	}
	return nil
}

func TestHostileRecord(t *testing.T) {
	t.Parallel()
	s := fake.NewStore()
	const key = "swings/_/_/x/manifest.json"
	for _, text := range []string{
		`{"schema":"ashline.failures/2.0"}`, `{"schema":"ashline.bundle/1.0","files":[{"name":"../x","key":"a"}]}`, string(make([]byte, 2<<20)),
	} {
		if err := s.Store(t.Context(), "ashline", key, []byte(text)); err != nil {
			t.Fatal(err)
		}
		_, err := bundle.Fail(t.Context(), s, "ashline", key, bundle.Failure{})
		if !errors.Is(err, bundle.ErrCorrupt) {
			t.Errorf("%.30q: got %v, want ErrCorrupt", text, err)
		}
		if raw, _, err := s.Read(t.Context(), "ashline", key, 4<<20); err != nil || string(raw) != text {
			t.Errorf("%.30q was written over", text)
		}
	}
}

// What a store left of a record when it lost its power does not bar the clip for
// good.
func TestRubbishIsReplaced(t *testing.T) {
	t.Parallel()
	dir := result(t)
	m, err := bundle.Describe(dir, bundle.Identity{ClipSHA256: "a"}, bundle.Owner{})
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"", "[]", "{}", `{"schema":"ashl`, "\x00\x00\x00"} {
		s := fake.NewStore()
		if err := s.Store(t.Context(), "ashline", m.Key(), []byte(text)); err != nil {
			t.Fatal(err)
		}
		end, err := bundle.Commit(t.Context(), s, "ashline", dir, m, bundle.Submission{})
		if err != nil || end.Manifest == nil {
			t.Errorf("%q: got %+v, %v", text, end, err)
		}
		if _, err := bundle.Load(t.Context(), s, "ashline", m.Key()); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}
