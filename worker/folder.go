package worker

import (
	"os"
	"path/filepath"
	"time"

	"golang.org/x/sys/unix"
)

const (
	folderPrefix = "ashline-job-"
	// freshFolder is the age below which a folder may not be locked yet.
	freshFolder = 10 * time.Second
)

// newFolder makes a folder of one attempt's own. As long as its maker lives it
// holds a lock on it, which no crash leaves behind.
func newFolder(scratch string) (dir string, remove func() error, err error) {
	if scratch, err = filepath.Abs(scratch); err != nil {
		return "", nil, err
	}
	if dir, err = os.MkdirTemp(scratch, folderPrefix); err != nil {
		return "", nil, err
	}
	lock, err := lockFolder(dir)
	if err != nil {
		_ = os.Remove(dir)
		return "", nil, err
	}
	return dir, func() error {
		defer lock.Close()
		return os.RemoveAll(dir)
	}, nil
}

func lockFolder(dir string) (*os.File, error) {
	f, err := os.Open(dir)
	if err != nil {
		return nil, err
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// sweep removes the folders of workers that were killed.
func sweep(scratch string, now time.Time) {
	left, _ := filepath.Glob(filepath.Join(scratch, folderPrefix+"*"))
	for _, d := range left {
		st, err := os.Lstat(d)
		if err != nil || !st.IsDir() || now.Sub(st.ModTime()) < freshFolder {
			continue
		}
		lock, err := lockFolder(d)
		if err != nil {
			continue // its worker lives, or it is somebody else's
		}
		_ = os.RemoveAll(d)
		lock.Close()
	}
}
