package fence

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"unsafe"

	"golang.org/x/sys/unix"
)

const (
	readFile = unix.LANDLOCK_ACCESS_FS_READ_FILE
	readAll  = readFile | unix.LANDLOCK_ACCESS_FS_READ_DIR

	// Rights of the first version; those of later ones follow.
	firstFS  = 1<<13 - 1
	writeAll = firstFS | unix.LANDLOCK_ACCESS_FS_REFER | unix.LANDLOCK_ACCESS_FS_TRUNCATE
	// onFile are the rights that a rule about a file, not a folder, may hold.
	onFile = unix.LANDLOCK_ACCESS_FS_EXECUTE | readFile | unix.LANDLOCK_ACCESS_FS_WRITE_FILE |
		unix.LANDLOCK_ACCESS_FS_TRUNCATE | unix.LANDLOCK_ACCESS_FS_IOCTL_DEV
	// never are the rights nobody gets: devices, sockets and pipes with a name, and
	// links, by which a result could stand for a file outside of the fence.
	never = unix.LANDLOCK_ACCESS_FS_MAKE_SYM | unix.LANDLOCK_ACCESS_FS_MAKE_CHAR | unix.LANDLOCK_ACCESS_FS_MAKE_BLOCK |
		unix.LANDLOCK_ACCESS_FS_MAKE_SOCK | unix.LANDLOCK_ACCESS_FS_MAKE_FIFO |
		unix.LANDLOCK_ACCESS_FS_IOCTL_DEV
)

// ruleset is what a version of Landlock can handle, in its structure and size.
func ruleset(version int) (attr unix.LandlockRulesetAttr, size uintptr) {
	attr.Handled_access_fs, size = firstFS, 8
	if version >= 2 {
		attr.Handled_access_fs |= unix.LANDLOCK_ACCESS_FS_REFER
	}
	if version >= 3 {
		attr.Handled_access_fs |= unix.LANDLOCK_ACCESS_FS_TRUNCATE
	}
	if version >= 4 {
		attr.Handled_access_net, size = unix.LANDLOCK_ACCESS_NET_BIND_TCP|unix.LANDLOCK_ACCESS_NET_CONNECT_TCP, 16
	}
	if version >= 5 {
		attr.Handled_access_fs |= unix.LANDLOCK_ACCESS_FS_IOCTL_DEV
	}
	if version >= 6 {
		attr.Scoped, size = unix.LANDLOCK_SCOPE_ABSTRACT_UNIX_SOCKET|unix.LANDLOCK_SCOPE_SIGNAL, 24
	}
	return attr, size
}

// restrictFiles puts a Landlock domain on the calling thread. The libraries for
// Landlock restrict all threads of a process, which would fence the caller in.
func restrictFiles(r Rules, version int) error {
	attr, size := ruleset(version)
	fd, _, errno := unix.Syscall(unix.SYS_LANDLOCK_CREATE_RULESET, uintptr(unsafe.Pointer(&attr)), size, 0)
	if errno != 0 {
		return fmt.Errorf("landlock rules: %w", errno)
	}
	defer unix.Close(int(fd))
	for _, part := range []struct {
		paths  []string
		rights uint64
	}{
		{r.Read, readAll},
		{slices.Concat(libraries(), settings), readAll},
		{slices.Concat(r.Run, loaders()), readFile | unix.LANDLOCK_ACCESS_FS_EXECUTE},
		{r.Write, writeAll &^ unix.LANDLOCK_ACCESS_FS_EXECUTE},
		// Files alone: a process's folder, opened, is a handle to send it signals by.
		{proc(r.Kind), readFile},
		{sys(r.Kind), readAll},
		{[]string{os.DevNull}, readFile | unix.LANDLOCK_ACCESS_FS_WRITE_FILE},
	} {
		for _, path := range slices.Compact(slices.Sorted(slices.Values(part.paths))) {
			if err := allow(int(fd), path, part.rights&attr.Handled_access_fs&^never); err != nil {
				return fmt.Errorf("landlock %q: %w", path, err)
			}
		}
	}
	if _, _, errno := unix.Syscall(unix.SYS_LANDLOCK_RESTRICT_SELF, fd, 0, 0); errno != 0 {
		return fmt.Errorf("landlock: %w", errno)
	}
	return nil
}

// allow adds one rule. What is not there, or not to be seen, needs none.
func allow(ruleset int, path string, rights uint64) error {
	fd, err := unix.Open(path, unix.O_PATH|unix.O_CLOEXEC, 0)
	if errors.Is(err, unix.ENOENT) || errors.Is(err, unix.ENOTDIR) || errors.Is(err, unix.EACCES) {
		return nil
	} else if err != nil {
		return err
	}
	defer unix.Close(fd)
	var st unix.Stat_t
	if err := unix.Fstat(fd, &st); err != nil {
		return err
	}
	if st.Mode&unix.S_IFMT != unix.S_IFDIR {
		rights &= onFile
	}
	rule := unix.LandlockPathBeneathAttr{Allowed_access: rights, Parent_fd: int32(fd)}
	if _, _, errno := unix.Syscall6(unix.SYS_LANDLOCK_ADD_RULE, uintptr(ruleset), unix.LANDLOCK_RULE_PATH_BENEATH,
		uintptr(unsafe.Pointer(&rule)), 0, 0, 0); errno != 0 {
		return errno
	}
	return nil
}

// proc is where the kernel tells of memory and processes, sys where of the machine:
// Go's runtime and OpenCV ask. A decoder does well without.
func proc(k Kind) []string {
	if k == Analysis {
		return []string{"/proc"}
	}
	return nil
}

func sys(k Kind) []string {
	if k == Analysis {
		return []string{"/sys"}
	}
	return nil
}
