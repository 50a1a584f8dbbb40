package settings

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"syscall"
)

// maxSecretBytes is more than a seed, a secret or a file of credentials has.
const maxSecretBytes = 64 << 10

// readSecret reads a secret from a file that others cannot read. A file of this
// user's own is this user's alone. One that belongs to another, such as those that a
// cluster mounts as root's, may be a group's: there is no other way to it.
func readSecret(flag, path string) (string, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0) // a pipe does not hold it up
	if err != nil {
		return "", fmt.Errorf("%w: --%s: %w", ErrUsage, flag, err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return "", fmt.Errorf("%w: --%s: %w", ErrUsage, flag, err)
	}
	if err := checkSecret(st, os.Geteuid()); err != nil {
		return "", fmt.Errorf("%w: --%s: %q %w", ErrUsage, flag, path, err)
	}
	raw, err := io.ReadAll(io.LimitReader(f, maxSecretBytes))
	if err != nil {
		return "", fmt.Errorf("%w: --%s: %w", ErrUsage, flag, err)
	}
	return strings.TrimSpace(string(raw)), nil
}

// checkSecret says what to do about a file that others can read.
func checkSecret(st fs.FileInfo, user int) error {
	mode := st.Mode().Perm()
	switch owner, ok := st.Sys().(*syscall.Stat_t); {
	case !st.Mode().IsRegular():
		return fmt.Errorf("is not a file")
	case ok && int(owner.Uid) != user && mode&0o027 != 0:
		return fmt.Errorf("has mode %04o: others can read it; chmod 0440 it, or 0400", mode)
	case ok && int(owner.Uid) == user && mode&0o077 != 0:
		return fmt.Errorf("has mode %04o: others can read it; chmod 0600 it", mode)
	}
	return nil
}
