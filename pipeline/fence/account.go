package fence

import (
	"errors"
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
)

// Accounts for children lie in a range that nobody gives out: systemd's
// UIDS-GIDS.md lists 60578 to 61183 as unused, and containers that map few accounts
// map the first 65,536.
const (
	firstAccount = 60600
	accounts     = 512
)

// taken are the accounts that this process has given out.
var taken struct {
	sync.Mutex
	ids [accounts]bool
}

var errNoAccount = errors.New("no unused account for the process")

// takeAccount gives out an account that no user and no process has. giveBack must be
// called when its last process is gone.
func takeAccount() (id uint32, giveBack func(), err error) {
	busy := owners()
	taken.Lock()
	defer taken.Unlock()
	for i := range taken.ids {
		id := uint32(firstAccount + i)
		if taken.ids[i] || busy[id] {
			continue
		}
		if _, err := user.LookupId(strconv.Itoa(int(id))); err == nil {
			continue
		}
		taken.ids[i] = true
		return id, func() {
			taken.Lock()
			defer taken.Unlock()
			taken.ids[i] = false
		}, nil
	}
	return 0, func() {}, errNoAccount
}

// owners lists whose processes there are.
func owners() map[uint32]bool {
	out := map[uint32]bool{}
	found, _ := filepath.Glob("/proc/[0-9]*")
	for _, p := range found {
		if st, err := os.Stat(p); err == nil {
			if s, ok := st.Sys().(*syscall.Stat_t); ok {
				out[s.Uid] = true
			}
		}
	}
	return out
}

// mapped tells whether the kernel knows the accounts here: in a namespace of users it
// may know few.
func mapped() bool {
	for _, name := range []string{"/proc/self/uid_map", "/proc/self/gid_map"} {
		raw, err := os.ReadFile(name)
		if err != nil {
			return false
		}
		whole := false
		for line := range strings.Lines(string(raw)) {
			var inside, outside, count uint64
			_, err := fmt.Sscan(line, &inside, &outside, &count)
			whole = whole || err == nil && inside <= firstAccount && inside+count >= firstAccount+accounts
		}
		if !whole {
			return false
		}
	}
	return true
}
