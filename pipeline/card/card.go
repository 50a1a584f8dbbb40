package card

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"

	"ashline/metrics"
	"ashline/pipeline/fault"
)

// ErrBad marks a card that cannot be used: unreadable, unknown key, wrong type
// or value out of range. The text names file and field.
var ErrBad = fault.New(fault.BadInput, "card")

// Suffix is what a clip's card is called: NAME.mp4 has NAME.card.yaml.
const Suffix = ".card.yaml"

// SessionName is the card of a folder.
const SessionName = "session.card.yaml"

// Source is one card's text and the name errors call it by.
type Source struct {
	Name string
	Text []byte
}

// Beside returns the cards that exist beside a clip, the session's first.
func Beside(clip string) []string {
	dir, base := filepath.Split(clip)
	base = strings.TrimSuffix(base, filepath.Ext(base))
	var out []string
	for _, name := range []string{SessionName, base + Suffix, base + ".card.json"} {
		p := filepath.Join(dir, name)
		if st, err := os.Stat(p); err == nil && st.Mode().IsRegular() {
			out = append(out, p)
		}
	}
	return out
}

// Load reads and merges card files, the later ones overriding the earlier
// ones field by field.
func Load(paths ...string) (metrics.Card, error) {
	var sources []Source
	for _, p := range paths {
		text, err := readFile(p)
		if err != nil {
			return metrics.Card{}, fmt.Errorf("%w %q: %w", ErrBad, p, err)
		}
		sources = append(sources, Source{Name: p, Text: text})
	}
	return Parse(sources...)
}

// readFile reads no more of a file than a card may have, and a little for Parse to
// refuse.
func readFile(p string) ([]byte, error) {
	st, err := os.Stat(p)
	switch {
	case err != nil:
		return nil, errors.Unwrap(err) // without the path, which the caller names
	case !st.Mode().IsRegular():
		return nil, errors.New("not a file")
	case st.Size() > MaxBytes:
		return nil, tooLong(st.Size())
	}
	f, err := os.Open(p)
	if err != nil {
		return nil, errors.Unwrap(err)
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, MaxBytes+1))
}

// Parse merges card texts and checks the outcome.
func Parse(sources ...Source) (metrics.Card, error) {
	merged := map[string]any{}
	last := "card"
	for _, s := range sources {
		last = s.Name
		m, err := read(s.Text)
		if err != nil {
			return metrics.Card{}, fmt.Errorf("%w %q: %w", ErrBad, s.Name, err)
		}
		if err := checkKeys(m); err != nil {
			return metrics.Card{}, fmt.Errorf("%w %q: %w", ErrBad, s.Name, err)
		}
		overlay(merged, m)
	}
	text, err := json.Marshal(merged)
	if err != nil {
		return metrics.Card{}, fmt.Errorf("%w %q: %w", ErrBad, last, err)
	}
	var c metrics.Card
	if err := json.Unmarshal(text, &c); err != nil {
		var te *json.UnmarshalTypeError
		if errors.As(err, &te) {
			return metrics.Card{}, fmt.Errorf("%w %q: %s: %s is not a %s", ErrBad, last, te.Field, te.Value, plain(te.Type.String()))
		}
		return metrics.Card{}, fmt.Errorf("%w %q: %w", ErrBad, last, err)
	}
	if err := Check(c); err != nil {
		return metrics.Card{}, fmt.Errorf("%w %q: %w", ErrBad, last, err)
	}
	return c, nil
}

// overlay puts src over dst; maps are merged, everything else is replaced.
func overlay(dst, src map[string]any) {
	for k, v := range src {
		if sub, ok := v.(map[string]any); ok {
			if old, ok := dst[k].(map[string]any); ok {
				overlay(old, sub)
				continue
			}
		}
		dst[k] = v
	}
}

func plain(typ string) string {
	switch {
	case strings.Contains(typ, "Point"):
		return "[x, y] pair"
	case strings.HasPrefix(typ, "float"), strings.HasPrefix(typ, "int"):
		return "number"
	case typ == "string":
		return "text"
	case typ == "bool":
		return "true or false"
	}
	return "group of fields"
}

// finite reports whether every number is a number.
func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
