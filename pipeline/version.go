package pipeline

import (
	"runtime/debug"

	"ashline/pipeline/rules"
)

// version changes whenever results for the same clip and card may change.
const version = "0.1.0"

// Program names the program that makes the job's results: its version, that the pose
// network helped where it did, and a mark of the texts of rules or words of an academy's
// own. It is part of every bundle's key: other rules give another bundle.
func (job Job) Program() (string, error) {
	name := Version()
	if job.PoseDir != "" {
		name += " with the pose network"
	}
	mark, err := rules.Mark(job.Rules, job.Words)
	if err != nil || mark == "" {
		return name, err
	}
	return name + " with rules " + mark, nil
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
