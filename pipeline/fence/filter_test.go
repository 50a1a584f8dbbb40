package fence

import (
	"encoding/binary"
	"slices"
	"testing"

	seccomp "github.com/elastic/go-seccomp-bpf"
	"github.com/elastic/go-seccomp-bpf/arch"
	"golang.org/x/net/bpf"
	"golang.org/x/sys/unix"
)

// Every number of a system call that there is or might be gets the answer of the list
// that its name stands in, and of no other: the library builds the filter with jumps
// too long for one instruction.
func TestEveryCallIsAnswered(t *testing.T) {
	t.Parallel()
	native, err := arch.GetInfo("")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []Kind{Decoder, Analysis} {
		allowed := []string{}
		for _, c := range lists(k) {
			for _, n := range c.names {
				if slices.Contains(allowed, n) {
					t.Errorf("%s stands in two lists", n)
				}
				allowed = append(allowed, n)
				if _, ok := arch.X86_64.SyscallNames[n]; !ok {
					t.Errorf("no call is named %s", n)
				}
			}
		}
		p := policy(k, native)
		code, err := p.Assemble()
		if err != nil {
			t.Fatal(err)
		}
		vm, err := bpf.NewVM(code)
		if err != nil {
			t.Fatal(err)
		}
		for number := range 1024 {
			name := native.SyscallNumbers[number]
			want := errno(unix.EPERM)
			switch {
			case slices.Contains(deadly, name):
				want = seccomp.ActionKillProcess
			case slices.Contains(absent, name):
				want = errno(unix.ENOSYS)
			case slices.Contains(allowed, name):
				want = seccomp.ActionAllow
			}
			// struct seccomp_data, in network order as this machine reads it.
			data := make([]byte, 64)
			binary.BigEndian.PutUint32(data, uint32(number))
			binary.BigEndian.PutUint32(data[4:], uint32(native.ID))
			if got, err := vm.Run(data); err != nil || seccomp.Action(uint32(got)) != want {
				t.Errorf("kind %d, %d %q: got %x, %v, want %x", k, number, name, uint32(got), err, uint32(want))
			}
			binary.BigEndian.PutUint32(data[4:], uint32(native.ID)+1)
			if got, err := vm.Run(data); err != nil || seccomp.Action(uint32(got)) != errno(unix.EPERM) {
				t.Errorf("kind %d, %d of another architecture: got %x, %v", k, number, uint32(got), err)
			}
		}
	}
}
