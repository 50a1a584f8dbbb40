package pipeline

import (
	"runtime/debug"

	"ashline/pipeline/rules"
)

// version changes whenever results for the same clip and card may change.
const version = "0.1.0"

// Program names the program that makes a result: its version, and that the pose network
// helped where poseDir is given.
func Program(poseDir string) string {
	if poseDir == "" {
		return Version()
	}
	return Version() + " with the pose network"
}

// Program names the program that makes the job's results. Rules or words of an academy's
// own are part of it, by a mark of their texts, and it is part of every bundle's key: other
// rules give another bundle.
func (job Job) Program() (string, error) {
	mark, err := rules.Mark(job.Rules, job.Words)
	if err != nil || mark == "" {
		return Program(job.PoseDir), err
	}
	return Program(job.PoseDir) + " with rules " + mark, nil
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
