package pipeline

import "runtime/debug"

// version changes whenever results for the same clip and card may change.
const version = "0.1.0"

// Version names the program and its version; it is part of every bundle's key.
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
