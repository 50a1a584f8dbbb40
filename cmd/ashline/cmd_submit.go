package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"ashline/worker/job"
	"ashline/worker/settings"
	"ashline/worker/submit"

	"github.com/spf13/cobra"
)

func newSubmitCmd() *cobra.Command {
	var asJSON, again bool
	var products []string
	cmd := &cobra.Command{
		Use:   "submit FOLDER|CLIP...",
		Short: "Upload clips with their cards and ask for them to be measured",
		Long: `Upload clips with their cards to the store and put a job for each into the queue.

A folder stands for all clips in it and below it. The cards are those beside a
clip: session.card.yaml of its folder, overridden field by field by
NAME.card.yaml. A clip whose card is bad is refused before anything is sent.
Submitting the same clip twice within ten minutes is one job, unless --again.`,
		Example: `  ashline submit clips/ --queue nats://127.0.0.1:4222 --store http://127.0.0.1:7070
  ashline submit fh-017-before.mp4 fh-017-after.mp4 --config ashline.yaml --json`,
		Args: cobra.MinimumNArgs(1),
	}
	f := settings.Bind(cmd.Flags())
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object a clip")
	cmd.Flags().BoolVar(&again, "again", false, "ask again for clips that were submitted a moment ago")
	cmd.Flags().StringSliceVar(&products, "product", nil, "part of the result that is wanted; given several times (default all but clean): "+strings.Join(job.Products, ", "))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		ctx := cmd.Context()
		s, err := resolve(f)
		if err != nil {
			return err
		}
		clips, err := submit.Find(args...)
		if err != nil {
			return err
		}
		st, err := s.OpenStore(ctx)
		if err != nil {
			return usageOf(err)
		}
		defer st.Close()
		q, err := s.DialQueue(ctx, "ashline submit", nil)
		if err != nil {
			return usageOf(err)
		}
		defer q.Close()
		sub := submit.Submitter{Objects: st, Queue: q, Bucket: s.Bucket, Products: products}
		if again {
			sub.Salt = time.Now().UTC().Format(time.RFC3339Nano)
		}
		failed := 0
		var last error
		for _, c := range clips {
			j, known, err := sub.Submit(ctx, c)
			if ctx.Err() != nil {
				return ctx.Err()
			}
			if err != nil {
				failed++
				last = err
			}
			if perr := printSubmitted(cmd, asJSON, c, j, known, err); perr != nil {
				return perr
			}
			if errors.Is(err, job.ErrUnreachable) {
				return err
			}
		}
		switch {
		case failed == 0:
			return nil
		case failed == len(clips):
			return last
		default:
			return fmt.Errorf("%w: %d of %d clips refused", job.ErrPartly, failed, len(clips))
		}
	}
	return cmd
}

func printSubmitted(cmd *cobra.Command, asJSON bool, c submit.Clip, j job.Job, known bool, err error) error {
	if asJSON {
		out := struct {
			Clip  string `json:"clip"`
			Job   string `json:"job,omitempty"`
			Key   string `json:"key,omitempty"`
			Known bool   `json:"known"`
			Error string `json:"error,omitempty"`
		}{Clip: c.Path, Job: j.ID, Key: j.Key, Known: known}
		if err != nil {
			out.Error = errorLine(err)
		}
		return json.NewEncoder(cmd.OutOrStdout()).Encode(out)
	}
	switch {
	case err != nil:
		fmt.Fprintf(cmd.ErrOrStderr(), "%s: %s\n", c.Path, errorLine(err))
	case known:
		fmt.Fprintf(cmd.OutOrStdout(), "%s: job %s (submitted before)\n", c.Path, j.ID)
	default:
		fmt.Fprintf(cmd.OutOrStdout(), "%s: job %s\n", c.Path, j.ID)
	}
	return nil
}

// resolve reads the settings of a command.
func resolve(f *settings.Flags) (settings.Settings, error) {
	s, err := f.Resolve(os.LookupEnv)
	return s, usageOf(err)
}

// usageOf marks what is wrong with a setting as a usage error.
func usageOf(err error) error {
	if errors.Is(err, settings.ErrUsage) {
		return usageError{err}
	}
	return err
}
