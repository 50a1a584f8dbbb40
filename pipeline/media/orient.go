package media

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// turn is how a coded picture becomes upright: a clockwise turn in steps of 90
// degrees, then, when mirrored, a flip of left and right.
type turn struct {
	deg      int
	mirrored bool
}

// parseTurn reads a display matrix as ffprobe prints it: three lines of an
// offset, a colon and three numbers. With rows (a b u), (c d v) a coded point
// (x, y) is shown at (a·x + c·y, b·x + d·y), up to a shift (ISO/IEC 14496-12,
// track header box). Matrices that are no multiple of a quarter turn take the
// nearest one.
func parseTurn(matrix string) (turn, error) {
	var n []float64
	for line := range strings.Lines(matrix) {
		_, rest, found := strings.Cut(line, ":")
		if !found {
			continue
		}
		for field := range strings.FieldsSeq(rest) {
			v, err := strconv.ParseFloat(field, 64)
			if err != nil {
				return turn{}, fmt.Errorf("media: display matrix: %w", err)
			}
			n = append(n, v)
		}
	}
	if len(n) != 9 {
		return turn{}, fmt.Errorf("media: display matrix has %d numbers", len(n))
	}
	return turnOf(n[0], n[1], n[3], n[4]), nil
}

func turnOf(a, b, c, d float64) turn {
	det := a*d - b*c
	if det == 0 || math.IsNaN(det) {
		return turn{}
	}
	// A mirrored matrix is a turn followed by x → −x: undo the flip first.
	mirrored := det < 0
	if mirrored {
		a, c = -a, -c
	}
	// The coded x axis ends up along (a, b); y points down, so a positive
	// angle is clockwise.
	quarter := int(math.Round(math.Atan2(b-c, a+d) / (math.Pi / 2)))
	return turn{deg: (quarter + 4) % 4 * 90, mirrored: mirrored}
}

// swaps reports whether width and height change places.
func (t turn) swaps() bool { return t.deg == 90 || t.deg == 270 }

// filter names the ffmpeg filters that turn the picture; empty for none.
func (t turn) filter() string {
	switch t {
	case turn{0, true}:
		return "hflip"
	case turn{90, false}:
		return "transpose=clock"
	case turn{90, true}:
		return "transpose=cclock_flip"
	case turn{180, false}:
		return "hflip,vflip"
	case turn{180, true}:
		return "vflip"
	case turn{270, false}:
		return "transpose=cclock"
	case turn{270, true}:
		return "transpose=clock_flip"
	}
	return ""
}
