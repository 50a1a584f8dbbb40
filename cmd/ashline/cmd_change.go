package main

import (
	"encoding/json"
	"errors"
	"fmt"

	"ashline/metrics"
	"ashline/metrics/change"
	"ashline/pipeline"
	"ashline/pipeline/results"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func newChangeCmd() *cobra.Command {
	var after afterPaths
	var o change.GroupOptions
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "change BEFORE... --after AFTER...",
		Short: "Compare two groups of results: what changed, and whether it can be told from noise",
		Long: `Compare the swings of two groups of results, metric by metric: after less before,
with its 95 % interval.

BEFORE and AFTER are metrics.json files, or folders that hold one; several make a
group. What stands before --after is one group, what follows it the other.

  detectable            the least change that these swings could have told from none
  real                  the interval excludes zero
  not told from noise   the interval includes zero: there may be no change, or one
                        too small for so few swings
  one swing each        the two swings differ by more than the noise of measuring;
                        whether the hitter changed needs several swings a side

A metric that a side lacks is left out and says why; * marks what rests on an
assumption. Swings of unlike kinds (live, machine, toss, tee, dry) are refused
unless --mix is given. Of metrics that did not change, about one in twenty reads
as real by chance: look first at what was worked on, with --only. The verb never
says whether a change is good or bad.`,
		Example: `  ashline change results/fh-017-before --after results/fh-017-after
  ashline change results/april-* --after results/june-* --only plane,zone
  ashline change tee/metrics.json --after live/metrics.json --mix --json`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			before, rest := after.split(args)
			if len(before) == 0 || len(rest) == 0 {
				return usageError{errors.New("change: two groups are needed: ashline change BEFORE... --after AFTER... (see ashline change --help)")}
			}
			if cmd.Flags().Changed("only") && len(o.Only) == 0 {
				return usageError{errors.New("change: --only names nothing; leave it out to compare every metric")}
			}
			out, err := compareGroups(before, rest, o)
			if err != nil {
				return err
			}
			if asJSON {
				enc := json.NewEncoder(cmd.OutOrStdout())
				enc.SetIndent("", "  ")
				return enc.Encode(out)
			}
			return results.WriteChange(cmd.OutOrStdout(), out)
		},
	}
	f := cmd.Flags()
	after.flags = f
	f.Var(&after, "after", "results of the swings after; what follows is of the same group")
	f.BoolVar(&o.Mix, "mix", false, "compare swings of unlike kinds all the same, and say so")
	f.StringSliceVar(&o.Only, "only", nil, "metrics by name (plane.attack_deg, attack_deg) or group (plane, zone.near), comma-separated")
	f.BoolVar(&asJSON, "json", false, "print a JSON object")
	return cmd
}

// compareGroups reads both groups and compares them.
func compareGroups(before, after []string, o change.GroupOptions) (change.Outcome, error) {
	// A name that is spelt wrong is said before any file is read.
	if _, err := change.Choose(o.Only); err != nil {
		return change.Outcome{}, usageError{fmt.Errorf("%w (in --only)", err)}
	}
	groups := [2][]metrics.Result{}
	for i, paths := range [][]string{before, after} {
		var err error
		if groups[i], err = results.ReadGroup(paths); errors.Is(err, results.ErrTwice) {
			return change.Outcome{}, usageError{err}
		} else if err != nil {
			return change.Outcome{}, err
		}
	}
	out, err := change.Groups(groups[0], groups[1], o)
	out.Program = pipeline.Version()
	return out, unlikeKinds("change", err)
}

// afterPaths is the value of --after. Shells expand results/june-* to several
// arguments of which a flag takes only the first, so it also keeps how many
// arguments came before it: all others belong to it.
type afterPaths struct {
	flags *pflag.FlagSet
	paths []string
	from  int // arguments before the first --after
}

var _ pflag.Value = (*afterPaths)(nil)

func (*afterPaths) String() string { return "" }

func (*afterPaths) Type() string { return "AFTER..." }

// Set takes one path.
func (a *afterPaths) Set(path string) error {
	if path == "" {
		return errors.New("wants a path")
	}
	if len(a.paths) == 0 {
		a.from = a.flags.NArg()
	}
	a.paths = append(a.paths, path)
	return nil
}

// split divides the arguments between the groups.
func (a *afterPaths) split(args []string) (before, after []string) {
	if len(a.paths) == 0 {
		return args, nil
	}
	return args[:a.from], append(append([]string(nil), a.paths...), args[a.from:]...)
}
