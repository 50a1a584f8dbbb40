package fence

import (
	"bytes"
	"fmt"
	"os"
	"strconv"
	"strings"
	"sync"

	"golang.org/x/sys/unix"
)

const maxFamily = 4096 // processes; a child starts two or three

// Family lists a process and its descendants, whatever group or session they are in.
func Family(pid int) []int {
	out := []int{pid}
	for i := 0; i < len(out) && len(out) < maxFamily; i++ {
		threads, err := os.ReadDir(fmt.Sprintf("/proc/%d/task", out[i]))
		if err != nil {
			continue
		}
		for _, t := range threads {
			raw, _ := os.ReadFile(fmt.Sprintf("/proc/%d/task/%s/children", out[i], t.Name()))
			for _, f := range bytes.Fields(raw) {
				if child, err := strconv.Atoi(string(f)); err == nil {
					out = append(out, child)
				}
			}
		}
	}
	return out
}

// underWay are the children that Start has started. coming is locked for reading while
// one comes into being, so that nobody takes it for a stray.
var (
	underWay sync.Map // of process numbers
	coming   sync.RWMutex
)

// endStrays ends what children that are over have left behind. What loses its parent
// becomes a child of the next process above that adopts, which every process that
// starts others behind a fence does; so a stray is a child of this process that Start
// has not started and that stands behind a fence's filters more than it, and all below.
// A child of this process's own that filters its calls has a filter or two. They are
// first all stopped, so that none can make another meanwhile.
func endStrays() {
	coming.Lock()
	defer coming.Unlock()
	for {
		strays := strays()
		if len(strays) == 0 {
			return
		}
		for stopped := map[int]bool{}; ; {
			before := len(stopped)
			for _, s := range strays {
				for _, p := range Family(s) {
					if !stopped[p] && unix.Kill(p, unix.SIGSTOP) == nil {
						stopped[p] = true
					}
				}
			}
			if len(stopped) == before {
				break
			}
		}
		for _, s := range strays {
			for _, p := range Family(s) {
				_ = unix.Kill(p, unix.SIGKILL)
			}
			_, _ = unix.Wait4(s, nil, 0, nil)
		}
	}
}

// strays are the children of this process that nobody waits for.
func strays() []int {
	own := filters(os.Getpid())
	var out []int
	for _, p := range Family(os.Getpid())[1:] {
		if _, ours := underWay.Load(p); !ours && said(p, "PPid:") == os.Getpid() && filters(p) >= own+fewest() {
			out = append(out, p)
		}
	}
	return out
}

// filters is the number of filters of calls before a process, none of which it can
// rid itself of.
func filters(pid int) int { return said(pid, "Seccomp_filters:") }

// said is the first number after a name in what the kernel tells of a process.
func said(pid int, name string) int {
	raw, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	for line := range strings.Lines(string(raw)) {
		if rest, ok := strings.CutPrefix(line, name); ok {
			var n int
			_, _ = fmt.Sscan(rest, &n)
			return n
		}
	}
	return 0
}
