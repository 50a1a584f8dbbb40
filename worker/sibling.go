package worker

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
)

// ErrNoSibling means: another program of this project is neither beside this one nor
// on PATH. A container holds the measuring program alone, so that this is normal there.
var ErrNoSibling = errors.New("worker: program not found")

// Sibling finds another program of this project by its name: beside this program,
// else on PATH. Two that were built together stand together.
func Sibling(name string) (string, error) {
	self, err := os.Executable()
	if err == nil {
		beside := filepath.Join(filepath.Dir(self), name)
		if st, err := os.Stat(beside); err == nil && st.Mode().IsRegular() {
			return beside, nil
		}
	}
	found, err := exec.LookPath(name)
	if err == nil {
		found, err = filepath.Abs(found)
	}
	if err != nil {
		return "", fmt.Errorf("%w: %q is neither beside this program nor on PATH", ErrNoSibling, name)
	}
	return found, nil
}
