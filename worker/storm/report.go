package storm

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/queue"
)

// Kills says how often what was killed.
type Kills struct {
	Workers, Queue, Store int
}

// Report is what became of the jobs.
type Report struct {
	Seed      uint64
	Kills     Kills
	Took      time.Duration
	Submitted int
	Committed int
	Failed    int            // with a reason
	Reasons   map[string]int // of failures
	Lost      int            // without any end
	Doubled   int            // with two
	Faults    []string       // what must not be, a sentence each
}

// Write prints the report.
func (r Report) Write(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "killed: workers %d times, queue %d, store %d (seed %d), in %s\n",
		r.Kills.Workers, r.Kills.Queue, r.Kills.Store, r.Seed, r.Took.Round(time.Second))
	row := func(what string, n int) { fmt.Fprintf(&b, "%-20s%6d\n", what, n) }
	row("submitted", r.Submitted)
	row("committed", r.Committed)
	row("failed with reason", r.Failed)
	for _, reason := range slices.Sorted(maps.Keys(r.Reasons)) {
		fmt.Fprintf(&b, "  %4d  %s\n", r.Reasons[reason], reason)
	}
	row("lost", r.Lost)
	row("doubled", r.Doubled)
	for _, f := range r.Faults {
		fmt.Fprintf(&b, "! %s\n", f)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// end is what the events say of one job.
type end struct {
	measured, failed int
	reason           string
}

// tally holds the ends and the bundles against what was submitted: the clip's hash of
// each job. Bundles are counted by the clip's hash.
func tally(submitted map[string]string, ends map[string]end, bundles map[string]int) Report {
	r := Report{Submitted: len(submitted), Reasons: map[string]int{}}
	for _, id := range slices.Sorted(maps.Keys(submitted)) {
		e, n := ends[id], bundles[submitted[id]]
		switch {
		case e.measured+e.failed == 0:
			r.Lost++
			r.Faults = append(r.Faults, fmt.Sprintf("job %s is lost", id))
		case e.measured+e.failed > 1 || n > 1 || e.failed > 0 && n > 0:
			r.Doubled++
			r.Faults = append(r.Faults, fmt.Sprintf("job %s was measured %d times, failed %d times, and has %d bundles", id, e.measured, e.failed, n))
		case e.measured == 1 && n == 1:
			r.Committed++
		case e.failed == 1 && e.reason != "":
			r.Failed++
			r.Reasons[e.reason]++
		default:
			r.Faults = append(r.Faults, fmt.Sprintf("job %s was measured %d times, failed %d times for %q, and has %d bundles", id, e.measured, e.failed, e.reason, n))
		}
	}
	if r.Committed == 0 {
		r.Faults = append(r.Faults, "nothing was measured")
	}
	return r
}

// readEnds collects what the events say of each job.
func readEnds(ctx context.Context, queueURL string) (map[string]end, error) {
	q, err := queue.Open(ctx, queue.Config{URL: queueURL})
	if err != nil {
		return nil, err
	}
	defer q.Close()
	left := 0
	subjects := []string{event.SubjectMeasured, event.SubjectFailed}
	for _, subject := range subjects {
		n, err := q.Count(ctx, subject)
		if err != nil {
			return nil, err
		}
		left += n
	}
	out := map[string]end{}
	if left == 0 {
		return out, nil
	}
	heardAll := errors.New("storm: all heard")
	err = q.Follow(ctx, time.Unix(1, 0), func(n queue.Note) error {
		var data json.RawMessage
		e, err := event.Decode(n.Data, n.Subject, &data)
		if err != nil {
			return err
		}
		x := out[e.Subject]
		if n.Subject == event.SubjectMeasured {
			x.measured++
		} else {
			var f event.Failed
			if err := json.Unmarshal(data, &f); err != nil {
				return err
			}
			x.failed++
			x.reason = string(f.Class) + ": " + f.Reason
		}
		out[e.Subject] = x
		if left--; left == 0 {
			return heardAll
		}
		return nil
	}, subjects...)
	if errors.Is(err, heardAll) {
		err = nil
	}
	return out, err
}

// readBundles counts the committed bundles by the clip's hash and fetches each of
// them. It returns a sentence for each that is not whole. A manifest is known by its
// file, wherever below root it is: one that is nowhere listed counts too.
func readBundles(ctx context.Context, storeURL, root string) (count map[string]int, broken []string, err error) {
	st, err := openStore(storeURL)
	if err != nil {
		return nil, nil, err
	}
	defer st.Close()
	count = map[string]int{}
	err = filepath.WalkDir(root, func(p string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(p, "/"+bundle.ManifestName) {
			return err
		}
		key := strings.TrimPrefix(p, root+"/")
		end, err := bundle.Look(ctx, st, bucket, key)
		if err != nil || end.Manifest == nil {
			return err
		}
		count[end.Manifest.ClipSHA256]++
		dir, err := os.MkdirTemp(filepath.Dir(filepath.Dir(root)), "bundle-")
		if err != nil {
			return err
		}
		if err := bundle.Download(ctx, st, bucket, *end.Manifest, dir); err != nil {
			broken = append(broken, fmt.Sprintf("bundle %s: %v", key, err))
		}
		return nil
	})
	if err != nil {
		err = fmt.Errorf("storm: bundles: %w", err)
	}
	return count, broken, err
}
