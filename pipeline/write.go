package pipeline

import (
	"encoding/json"
	"fmt"
	"path/filepath"

	"ashline/pipeline/fault"
	"ashline/pipeline/outfile"
)

// write writes metrics and track.
func (m *measured) write() error {
	if err := writeJSON(filepath.Join(m.job.OutDir, "metrics.json"), m.study.Result); err != nil {
		return err
	}
	if !m.job.wants(TrackProduct) {
		return nil
	}
	return writeTrack(filepath.Join(m.job.OutDir, "track.csv"), m.seen, m.found, m.study)
}

func writeJSON(path string, v any) error {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return fmt.Errorf("%w: %w", fault.ErrBug, err)
	}
	if err := outfile.Write(path, append(text, '\n')); err != nil {
		return fmt.Errorf("writing results: %w", err)
	}
	return nil
}
