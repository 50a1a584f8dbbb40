package card

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
)

// RGB is an sRGB colour, 8 bits a channel.
type RGB struct{ R, G, B uint8 }

// named are the colours of tapes a shop sells, as sRGB; common practice, not a
// standard.
var named = map[string]RGB{
	"pink": {255, 45, 149}, "magenta": {230, 30, 180}, "red": {230, 30, 40}, "orange": {255, 120, 20},
	"yellow": {245, 225, 30}, "green": {57, 211, 83}, "cyan": {24, 184, 224}, "blue": {30, 80, 230},
	"purple": {140, 60, 200}, "lime": {160, 240, 40},
}

// ParseColour reads a name or #rrggbb (or #rgb).
func ParseColour(s string) (RGB, error) {
	if c, ok := named[strings.ToLower(strings.TrimSpace(s))]; ok {
		return c, nil
	}
	h, ok := strings.CutPrefix(strings.TrimSpace(s), "#")
	if ok && len(h) == 3 {
		h = string([]byte{h[0], h[0], h[1], h[1], h[2], h[2]})
	}
	if ok && len(h) == 6 {
		if v, err := strconv.ParseUint(h, 16, 32); err == nil {
			return RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)}, nil
		}
	}
	names := make([]string, 0, len(named))
	for n := range named {
		names = append(names, n)
	}
	sort.Strings(names)
	return RGB{}, fmt.Errorf("%q is neither #rrggbb nor one of %s", clip(s), strings.Join(names, ", "))
}
