package outfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/sys/unix"
)

// ErrLink means: a symbolic link stands where results go. A matter for whoever named
// the folder: it is removed, or what it points to is named.
var ErrLink = errors.New("a symbolic link stands where results go")

const (
	folderMode = 0o755
	fileMode   = 0o644
)

// Folder makes a folder, and those above it, unless it is there.
func Folder(path string) error {
	if err := os.MkdirAll(path, folderMode); err != nil {
		return err
	}
	fd, err := openFolder(path)
	if err != nil {
		return err
	}
	return unix.Close(fd)
}

// Create opens a file to be written from its beginning, over whatever is there, in a
// folder that is there.
func Create(path string) (*os.File, error) {
	dir, err := openFolder(filepath.Dir(path))
	if err != nil {
		return nil, err
	}
	defer unix.Close(dir)
	fd, err := unix.Openat(dir, filepath.Base(path), unix.O_WRONLY|unix.O_CREAT|unix.O_TRUNC|unix.O_NOFOLLOW|unix.O_CLOEXEC, fileMode)
	switch {
	case errors.Is(err, unix.ELOOP):
		return nil, fmt.Errorf("%w: %q", ErrLink, path)
	case err != nil:
		return nil, &fs.PathError{Op: "open", Path: path, Err: err}
	}
	return os.NewFile(uintptr(fd), path), nil
}

// Write writes a whole file.
func Write(path string, data []byte) error {
	f, err := Create(path)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}

func openFolder(path string) (int, error) {
	fd, err := unix.Open(filepath.Clean(path), unix.O_PATH|unix.O_DIRECTORY|unix.O_NOFOLLOW|unix.O_CLOEXEC, 0)
	if err == nil {
		return fd, nil
	}
	if st, serr := os.Lstat(filepath.Clean(path)); serr == nil && st.Mode()&fs.ModeSymlink != 0 {
		return 0, fmt.Errorf("%w: %q", ErrLink, path)
	}
	return 0, &fs.PathError{Op: "open", Path: path, Err: err}
}
