package demo

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// Studio makes the clips of an invented academy.
type Studio interface {
	// Takes lists the clips that Film makes.
	Takes(ctx context.Context) ([]Take, error)
	// Film makes the clips in dir, each with its card beside it, and tells how far
	// they are. It stops when each returns an error, and returns that error.
	Film(ctx context.Context, dir string, each func(Shot) error) error
}

// Take is one clip to be filmed.
type Take struct {
	Clip   string `json:"clip"` // file name without its ending, and the job's name
	Hitter string `json:"hitter"`
	Label  string `json:"label"`
	Bats   string `json:"bats"`
}

// Shot is how far one clip is.
type Shot struct {
	Clip  string `json:"clip"`
	Done  int    `json:"done"` // frames
	Total int    `json:"total"`
	File  string `json:"file,omitempty"` // of a whole clip
}

// Lab is the studio that renders: the laboratory's program.
type Lab struct {
	Program string // path of ashline-lab
	Seed    uint64 // another academy
	Workers int    // clips at the same time
}

var _ Studio = Lab{}

// endWait is what the laboratory may take to remove what it has not finished.
const endWait = 5 * time.Second

// Takes asks the laboratory for its list.
func (l Lab) Takes(ctx context.Context) (takes []Take, err error) {
	err = l.run(ctx, func(d *json.Decoder) error { return d.Decode(&takes) }, "--list")
	return takes, err
}

// Film has the laboratory render.
func (l Lab) Film(ctx context.Context, dir string, each func(Shot) error) error {
	return l.run(ctx, func(d *json.Decoder) error {
		for {
			var s Shot
			if err := d.Decode(&s); errors.Is(err, io.EOF) {
				return nil
			} else if err != nil {
				return err
			}
			if err := each(s); err != nil {
				return err
			}
		}
	}, "--out", dir, "--workers", strconv.Itoa(l.Workers))
}

// run starts the laboratory and hands what it prints to read.
func (l Lab) run(parent context.Context, read func(*json.Decoder) error, args ...string) error {
	ctx, cancel := context.WithCancel(parent)
	defer cancel()
	cmd := exec.CommandContext(ctx, l.Program, append([]string{"academy", "--seed", strconv.FormatUint(l.Seed, 10)}, args...)...)
	var said bytes.Buffer
	cmd.Stderr = &said
	cmd.Cancel = func() error { return cmd.Process.Signal(syscall.SIGTERM) }
	cmd.WaitDelay = endWait
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	fault := read(json.NewDecoder(out))
	early := errors.Is(fault, io.EOF) || errors.Is(fault, io.ErrUnexpectedEOF)
	if fault != nil && !early {
		cancel()
	}
	ended := cmd.Wait()
	switch {
	case parent.Err() != nil:
		return parent.Err()
	case fault != nil && !early:
		return fault
	case ended != nil:
		return fmt.Errorf("demo: %w: %s", ended, strings.TrimSpace(said.String()))
	case early:
		return fmt.Errorf("demo: ashline-lab ended early: %w", fault)
	}
	return nil
}
