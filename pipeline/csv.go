package pipeline

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"

	"ashline/metrics"
	"ashline/pipeline/follow"
	"ashline/pipeline/outfile"
)

// writeTrack writes one row a frame: frame, t_s from the clip's first frame,
// then place, s.d. and origin of each mark, of each joint that only the pose network
// found, and of the ball, in px of the frame
// as it was filmed (upright, not steadied). Empty cells are frames in which it is not known.
func writeTrack(path string, s follow.Sightings, found follow.Found, study metrics.Study) (err error) {
	f, err := outfile.Create(path)
	if err != nil {
		return fmt.Errorf("writing results: %w", err)
	}
	defer func() {
		if e := f.Close(); e != nil && err == nil {
			err = fmt.Errorf("writing results: %w", e)
		}
	}()
	buf := bufio.NewWriter(f)
	w := csv.NewWriter(buf)
	names := append([]string{}, s.Names...)
	for _, n := range metrics.PoseNames {
		if len(found.Track.Pose[n]) > 0 && !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	names = append(names, "ball")
	head := []string{"frame", "t_s"}
	byFrame := map[string]map[int]metrics.Sample{}
	for _, n := range names {
		head = append(head, n+"_x_px", n+"_y_px", n+"_sd_px", n+"_how")
		byFrame[n] = map[int]metrics.Sample{}
		for _, smp := range study.Samples(n) {
			byFrame[n][smp.Frame] = smp
		}
	}
	if err := w.Write(head); err != nil {
		return fmt.Errorf("writing results: %w", err)
	}
	for i, t := range s.TimesS {
		row := []string{strconv.Itoa(i), strconv.FormatFloat(t, 'f', 6, 64)}
		for _, n := range names {
			smp, ok := byFrame[n][i]
			if !ok {
				row = append(row, "", "", "", "")
				continue
			}
			smp.XPx, smp.YPx = s.Moves[i].Inverse().Apply(smp.XPx, smp.YPx)
			sd := math.Sqrt((smp.VarXX + smp.VarYY) / 2)
			row = append(row, fixed(smp.XPx), fixed(smp.YPx), fixed(sd), string(smp.How))
		}
		if err := w.Write(row); err != nil {
			return fmt.Errorf("writing results: %w", err)
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return fmt.Errorf("writing results: %w", err)
	}
	if err := buf.Flush(); err != nil {
		return fmt.Errorf("writing results: %w", err)
	}
	return nil
}

func fixed(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }
