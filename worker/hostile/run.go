package hostile

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"ashline/pipeline/fence"
	"ashline/worker"
)

// Config says how many clips are tried, and with what.
type Config struct {
	Program string // absolute path of the program that measures
	Env     []string
	Count   int    // clips
	Seed    uint64 // of all damage
	Workers int    // clips at the same time. Defaults to 1.
	Keep    string // folder for clips that did what they must not. Defaults to none.
	Each    func(Outcome)
}

// The limits of each run. Clips this small take seconds.
const (
	limit  = 2 * time.Minute
	stall  = time.Minute
	memory = 1 << 30
	// slack is what ending a killed child may take on a busy machine.
	slack     = 15 * time.Second
	lookEvery = 10 * time.Millisecond
)

// Run tries Count clips, kind after kind, and returns what came of them. An error is
// trouble of its own, never a clip's. When ctx ends it returns what is known by then.
func Run(ctx context.Context, c Config) (Report, error) {
	root, err := os.MkdirTemp("", "ashline-hostile-")
	if err != nil {
		return Report{}, fmt.Errorf("hostile: %w", err)
	}
	defer os.RemoveAll(root)
	for _, d := range []string{"source", "jobs"} {
		if err := os.Mkdir(filepath.Join(root, d), 0o700); err != nil {
			return Report{}, fmt.Errorf("hostile: %w", err)
		}
	}
	src, card, err := newSource(ctx, filepath.Join(root, "source"), c.Seed)
	if err != nil {
		return Report{}, err
	}
	var (
		rep   = Report{Seed: c.Seed}
		todo  = make(chan int)
		lock  sync.Mutex
		wait  sync.WaitGroup
		fault error
	)
	for range max(1, c.Workers) {
		wait.Go(func() {
			for i := range todo {
				o, err := try(ctx, c, root, src, card, i)
				lock.Lock()
				switch {
				case err == nil:
					rep.Outcomes = append(rep.Outcomes, o)
					if c.Each != nil {
						c.Each(o)
					}
				case ctx.Err() == nil: // otherwise stopped: what is known so far is told
					fault = errors.Join(fault, err)
				}
				lock.Unlock()
			}
		})
	}
	for i := 0; i < c.Count && ctx.Err() == nil; i++ {
		todo <- i
	}
	close(todo)
	wait.Wait()
	return rep, fault
}

// try spoils clip number i and measures it as a worker does.
func try(ctx context.Context, c Config, root string, src *source, card []byte, i int) (Outcome, error) {
	k := kinds[i%len(kinds)]
	spoiled := k.make(src, rand.New(rand.NewPCG(c.Seed, uint64(i))))
	o := Outcome{Index: i, Kind: k.name}
	dir := filepath.Join(root, "jobs", fmt.Sprint(i))
	t := worker.Task{
		Clip: filepath.Join(dir, "in", "clip.mp4"), Cards: []string{filepath.Join(dir, "in", "clip.card.yaml")},
		Out: filepath.Join(dir, "out"), Scratch: filepath.Join(dir, "tmp"),
	}
	if i/len(kinds)%8 != 0 { // drawing takes most of the time and sees no more of the file
		t.Products = []string{"track"}
	}
	for _, d := range []string{filepath.Dir(t.Clip), t.Out, t.Scratch} {
		if err := os.MkdirAll(d, 0o700); err != nil {
			return o, fmt.Errorf("hostile: %w", err)
		}
	}
	defer os.RemoveAll(dir)
	if err := errors.Join(os.WriteFile(t.Clip, spoiled, 0o600), os.WriteFile(t.Cards[0], card, 0o600)); err != nil {
		return o, fmt.Errorf("hostile: %w", err)
	}
	before, err := around(root, dir)
	if err != nil {
		return o, err
	}

	done, looked := make(chan struct{}), make(chan struct{})
	started := false
	child := &worker.Child{
		Program: c.Program, Env: c.Env, Stall: stall, Limit: limit, Memory: memory,
		Started: func(pid int) {
			started = true
			go func() {
				defer close(looked)
				o.PeakBytes, o.Sockets = watch(pid, done)
			}()
		},
	}
	began := time.Now()
	err = child.Analyse(ctx, t, func(worker.Step) {})
	o.Seconds = time.Since(began).Seconds()
	close(done)
	if !started {
		return o, err
	}
	<-looked
	if ctx.Err() != nil {
		return o, ctx.Err()
	}
	o.judge(err, k.rule, filepath.Join(t.Out, "metrics.json"))

	after, err := around(root, dir)
	if err != nil {
		return o, err
	}
	if !maps.Equal(before, after) {
		o.Outside = changed(before, after)
	}
	if now, err := os.ReadFile(t.Clip); err != nil || !bytes.Equal(now, spoiled) {
		o.Outside = append(o.Outside, "the clip itself")
	}
	if o.Bad() && c.Keep != "" {
		name := fmt.Sprintf("%d-%s.mp4", i, strings.ReplaceAll(k.name, " ", "-"))
		if err := errors.Join(os.MkdirAll(c.Keep, 0o755), os.WriteFile(filepath.Join(c.Keep, name), spoiled, 0o600)); err != nil {
			return o, fmt.Errorf("hostile: %w", err)
		}
	}
	return o, nil
}

// around lists the files next to a job's own three folders, with sizes and times.
// Other jobs' folders come and go, and so do other programs' files elsewhere.
func around(root, dir string) (map[string]string, error) {
	out := map[string]string{}
	note := func(path string, e fs.DirEntry) {
		if st, err := e.Info(); err == nil && !e.IsDir() {
			out[path] = fmt.Sprint(st.Size(), st.Mode(), st.ModTime().UnixNano())
		} else {
			out[path] = "folder"
		}
	}
	err := filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			if errors.Is(err, fs.ErrNotExist) { // another job's
				return nil
			}
			return err
		}
		own := filepath.Dir(path) == dir
		switch {
		case own && (e.Name() == "out" || e.Name() == "tmp"):
			return fs.SkipDir
		case filepath.Dir(path) == filepath.Join(root, "jobs") && path != dir:
			return fs.SkipDir
		}
		note(path, e)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("hostile: %w", err)
	}
	return out, nil
}

func changed(before, after map[string]string) []string {
	var out []string
	for p, v := range after {
		if before[p] != v {
			out = append(out, p)
		}
	}
	for p := range before {
		if _, ok := after[p]; !ok {
			out = append(out, p)
		}
	}
	return out
}

// watch looks at a child and its descendants until done: the most memory that they
// kept together, and how many sockets were open at most.
func watch(pid int, done <-chan struct{}) (peak int64, sockets int) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		peak, sockets = max(peak, worker.Resident(pid)), max(sockets, countSockets(pid))
		select {
		case <-done:
			return peak, sockets
		case <-tick.C:
		}
	}
}

func countSockets(pid int) (n int) {
	for _, p := range fence.Family(pid) {
		links, _ := filepath.Glob(fmt.Sprintf("/proc/%d/fd/*", p))
		for _, l := range links {
			if to, err := os.Readlink(l); err == nil && strings.HasPrefix(to, "socket:") {
				n++
			}
		}
	}
	return n
}
