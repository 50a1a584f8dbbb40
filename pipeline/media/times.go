package media

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// maxTimesBytes bounds the list of times: a dozen bytes a frame.
const maxTimesBytes = 64 << 20

// Times returns the presentation times of all frames of the clip in rising
// order, s, without decoding: they are the times of the packets that the
// container says are shown.
func Times(ctx context.Context, path string, info Info, l Limits) ([]float64, error) {
	l = l.withDefaults()
	args := append([]string{"-v", "error"}, inputFence(info.demuxer, l)...)
	args = append(args, "-threads", "1", "-select_streams", strconv.Itoa(info.stream),
		"-show_entries", "packet=pts,flags", "-print_format", "csv=p=0", "file:"+path)
	out, _, err := ask(ctx, path, args, l, maxTimesBytes)
	if err != nil {
		return nil, err
	}
	var times []float64
	lines := bufio.NewScanner(bytes.NewReader(out))
	for lines.Scan() {
		pts, flags, _ := strings.Cut(lines.Text(), ",")
		if strings.Contains(flags, "D") { // outside the edit list
			continue
		}
		n, err := strconv.ParseInt(pts, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("%w: frame %d has no time", ErrBroken, len(times))
		}
		times = append(times, info.seconds(n))
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("%w: its times cannot be read: %w", ErrBroken, err)
	}
	slices.Sort(times)
	return times, nil
}

// seconds turns a time in the stream's own units into seconds.
func (i Info) seconds(pts int64) float64 {
	return float64(pts) * float64(i.tbNum) / float64(i.tbDen)
}

// ticks turns seconds into the stream's own units.
func (i Info) ticks(s float64) float64 {
	return s * float64(i.tbDen) / float64(i.tbNum)
}

// nearest returns the index of the time in the rising list that is nearest to
// t.
func nearest(times []float64, t float64) int {
	i, _ := slices.BinarySearch(times, t)
	if i == len(times) || i > 0 && math.Abs(times[i-1]-t) <= math.Abs(times[i]-t) {
		i--
	}
	return max(i, 0)
}
