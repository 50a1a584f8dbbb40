package bench

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"

	"ashline/metrics"
)

// spot is the barrel in one frame as measured, px of the frame as filmed. How is
// empty where it is not known.
type spot struct {
	TimeS    float64
	XPx, YPx float64
	How      metrics.How
}

func (s spot) known() bool { return s.How != "" }

// readSpots reads the barrel's path from a track.csv, one spot a frame.
func readSpots(path string) ([]spot, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("bench: %w", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("bench: %q: %w", path, err)
	}
	col := map[string]int{}
	if len(rows) > 0 {
		for i, n := range rows[0] {
			col[n] = i
		}
	}
	for _, n := range []string{"t_s", "barrel_x_px", "barrel_y_px", "barrel_how"} {
		if _, ok := col[n]; !ok {
			return nil, fmt.Errorf("bench: %q has no column %q", path, n)
		}
	}
	var out []spot
	for _, row := range rows[1:] {
		s := spot{How: metrics.How(row[col["barrel_how"]])}
		want := map[string]*float64{"t_s": &s.TimeS}
		if s.known() {
			want["barrel_x_px"], want["barrel_y_px"] = &s.XPx, &s.YPx
		}
		for n, v := range want {
			if *v, err = strconv.ParseFloat(row[col[n]], 64); err != nil {
				return nil, fmt.Errorf("bench: %q, frame %d, %s: %w", path, len(out), n, err)
			}
		}
		out = append(out, s)
	}
	return out, nil
}

// glide is the path during frame i's exposure: the place, and half the exposure
// at its velocity to either side. The velocity is that between the neighbours.
func glide(spots []spot, i int, exposureS float64) (Glide, bool) {
	if i < 0 || i >= len(spots) || !spots[i].known() {
		return Glide{}, false
	}
	a, b := i, i
	if i > 0 && spots[i-1].known() {
		a = i - 1
	}
	if i+1 < len(spots) && spots[i+1].known() {
		b = i + 1
	}
	dx, dy := 0.0, 0.0
	if dt := spots[b].TimeS - spots[a].TimeS; dt > 0 && !math.IsNaN(exposureS) {
		k := exposureS / 2 / dt
		dx, dy = k*(spots[b].XPx-spots[a].XPx), k*(spots[b].YPx-spots[a].YPx)
	}
	s := spots[i]
	return Glide{s.XPx - dx, s.YPx - dy, s.XPx + dx, s.YPx + dy}, true
}
