package pipeline

import (
	"runtime/debug"

	"ashline/pipeline/rules"
)

// version changes whenever results for the same clip and card may change.
const version = "0.1.0"

// revision is set by the linker where the build does not see the repository's
// history, as in a container: -ldflags "-X ashline/pipeline.revision=COMMIT".
var revision string

// revisionLength is how much of a commit's name tells it apart.
const revisionLength = 12

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

// Version names the program's version and, where it is known, the commit that it was
// built from.
func Version() string {
	var settings []debug.BuildSetting
	if bi, ok := debug.ReadBuildInfo(); ok {
		settings = bi.Settings
	}
	return versionOf(revision, settings)
}

// versionOf is Version for what the linker was told and what the build saw itself.
func versionOf(rev string, settings []debug.BuildSetting) string {
	for _, s := range settings {
		if s.Key == "vcs.revision" && rev == "" {
			rev = s.Value
		}
	}
	if len(rev) < revisionLength {
		return version
	}
	return version + "+" + rev[:revisionLength]
}
