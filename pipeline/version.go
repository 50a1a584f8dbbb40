package pipeline

import "runtime/debug"

// version changes whenever results for the same clip and card may change.
const version = "0.1.0"

// Program names the program that makes a result: its version, and that the pose network
// helped where poseDir is given. It is part of every bundle's key.
func Program(poseDir string) string {
	if poseDir == "" {
		return Version()
	}
	return Version() + " with the pose network"
}

// Version names the program's version.
func Version() string {
	rev := ""
	if bi, ok := debug.ReadBuildInfo(); ok {
		for _, s := range bi.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				rev = "+" + s.Value[:12]
			}
		}
	}
	return version + rev
}
