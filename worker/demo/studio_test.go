package demo

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"reflect"
	"slices"
	"strings"
	"syscall"
	"testing"
)

// laboratory is what this test program does when it stands in for ashline-lab.
func laboratory(mode string) int {
	if want := "academy --seed 7 "; !strings.HasPrefix(strings.Join(os.Args[1:], " "), want) {
		fmt.Fprintf(os.Stderr, "got %q, want %s\n", os.Args[1:], want)
		return 2
	}
	switch {
	case slices.Contains(os.Args, "--list"):
		fmt.Println(`[{"clip":"a","hitter":"fh-001","label":"before","bats":"left"}]`)
	case mode == "fail":
		fmt.Fprintln(os.Stderr, "ashline-lab: no encoder")
		return 1
	default:
		ended := make(chan os.Signal, 1)
		signal.Notify(ended, syscall.SIGTERM)
		fmt.Println(`{"clip":"a","done":1,"total":2}`)
		if mode == "hang" {
			<-ended
			return 130
		}
		fmt.Println(`{"clip":"a","done":2,"total":2,"file":"/a.mp4"}`)
		if mode == "cut" {
			fmt.Print(`{"clip":`)
		}
	}
	return 0
}

func TestLab(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	lab := Lab{Program: self, Seed: 7, Workers: 3}
	enough := errors.New("enough")
	whole := []Shot{{Clip: "a", Done: 1, Total: 2}, {Clip: "a", Done: 2, Total: 2, File: "/a.mp4"}}
	for _, c := range []struct {
		mode string
		each error  // what the listener says
		want string // part of the error
		got  []Shot
	}{
		{"ok", nil, "", whole},
		{"cut", nil, "ended early", whole},
		{"fail", nil, "ashline-lab: no encoder", nil},
		{"hang", enough, "enough", whole[:1]},
	} {
		t.Run(c.mode, func(t *testing.T) {
			t.Setenv("ASHLINE_TEST_LAB", c.mode)
			takes, err := lab.Takes(t.Context())
			if want := []Take{{Clip: "a", Hitter: "fh-001", Label: "before", Bats: "left"}}; err != nil || !reflect.DeepEqual(takes, want) {
				t.Errorf("got %v, %v, want %v", takes, err, want)
			}
			var got []Shot
			err = lab.Film(t.Context(), "out", func(s Shot) error {
				got = append(got, s)
				return c.each
			})
			if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
			if !reflect.DeepEqual(got, c.got) {
				t.Errorf("got %v, want %v", got, c.got)
			}
		})
	}

	t.Setenv("ASHLINE_TEST_LAB", "hang")
	ctx, cancel := context.WithCancel(t.Context())
	err = lab.Film(ctx, "out", func(Shot) error {
		cancel()
		return nil
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v, want context.Canceled", err)
	}
	if _, err := (Lab{Program: "/no/such/program", Seed: 7}).Takes(t.Context()); err == nil {
		t.Error("a program that is not there lists takes")
	}
}
