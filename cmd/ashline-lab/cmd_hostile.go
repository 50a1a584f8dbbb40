package main

import (
	"encoding/json"
	"fmt"

	"ashline/worker"
	"ashline/worker/hostile"

	"github.com/spf13/cobra"
)

func newHostileCmd() *cobra.Command {
	var cfg hostile.Config
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "hostile",
		Short: "Spoil clips on purpose and print what they could do",
		Long: `Render a small swing, spoil copies of it in many ways (bits flipped, cut off, boxes
moved about, sizes and tables that lie, playlists and other files under a clip's
name, far too large pictures and far too many frames), run each through the child
process that workers use, and print a table: how many were measured, refused with a
reason, or stopped by a limit, how many children crashed, and what must not be: a
clip cut off or no video that was measured, a run past its limits, a failure without
a reason, files made outside of the job's folders, sockets. Peak is resident memory
of a child and its decoders. The same seed spoils in the same way.

Ends with code 1 when anything happened that must not.`,
		Example: `  ashline-lab hostile --count 51
  ashline-lab hostile --count 1000 --workers 2 --keep bad`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if cfg.Count < 1 || cfg.Workers < 1 {
				return usageError{fmt.Errorf("hostile: --count and --workers must be 1 or more")}
			}
			var err error
			if cfg.Program, err = worker.Sibling("ashline"); err != nil {
				return usageError{err}
			}
			errOut := cmd.ErrOrStderr()
			cfg.Each = func(o hostile.Outcome) {
				mark := ""
				if o.Bad() {
					mark = " (!)"
				}
				fmt.Fprintf(errOut, "%d %s: %s%s, %.1f s %s\n", o.Index, o.Kind, o.Verdict, mark, o.Seconds, o.Reason)
			}
			rep, err := hostile.Run(cmd.Context(), cfg)
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			if asJSON {
				enc := json.NewEncoder(out)
				enc.SetIndent("", "  ")
				err = enc.Encode(rep)
			} else {
				err = rep.Write(out)
			}
			if err != nil {
				return err
			}
			if err := cmd.Context().Err(); err != nil {
				return fmt.Errorf("hostile: stopped after %d of %d clips: %w", len(rep.Outcomes), cfg.Count, err)
			}
			if bad := rep.Bad(); len(bad) > 0 {
				return fmt.Errorf("hostile: %d clips did what they must not, the first is number %d", len(bad), bad[0].Index)
			}
			return nil
		},
	}
	f := cmd.Flags()
	f.IntVar(&cfg.Count, "count", 51, "clips")
	f.Uint64Var(&cfg.Seed, "seed", 1, "seed of all damage")
	f.IntVar(&cfg.Workers, "workers", 1, "clips at the same time")
	f.StringVar(&cfg.Keep, "keep", "", "folder for clips that did what they must not")
	f.BoolVar(&asJSON, "json", false, "print a JSON object")
	return cmd
}
