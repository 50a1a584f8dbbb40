package card

import (
	"fmt"
	"reflect"
	"sort"
	"strings"

	"ashline/metrics"
)

// checkKeys refuses keys that no field of the card has.
func checkKeys(m map[string]any) error {
	return walk("", m, reflect.TypeFor[metrics.Card]())
}

func walk(path string, v any, t reflect.Type) error {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch x := v.(type) {
	case map[string]any:
		if t.Kind() != reflect.Struct {
			return fmt.Errorf("%s: takes no fields of its own", path)
		}
		known := fields(t)
		keys := make([]string, 0, len(x))
		for k := range x {
			keys = append(keys, k)
		}
		sort.Strings(keys)
		for _, k := range keys {
			full := strings.TrimPrefix(path+"."+k, ".")
			ft, ok := known[k]
			if !ok {
				return fmt.Errorf("%s: unknown key; nearest is %q", full, nearest(k, known))
			}
			if err := walk(full, x[k], ft); err != nil {
				return err
			}
		}
	case []any:
		if t.Kind() != reflect.Slice && t.Kind() != reflect.Array {
			return fmt.Errorf("%s: a list does not fit here", path)
		}
		if t.Kind() == reflect.Array && len(x) != t.Len() {
			return fmt.Errorf("%s: wants %d numbers, has %d", path, t.Len(), len(x))
		}
		for i, e := range x {
			if err := walk(fmt.Sprintf("%s[%d]", path, i), e, t.Elem()); err != nil {
				return err
			}
		}
	}
	return nil
}

func fields(t reflect.Type) map[string]reflect.Type {
	out := map[string]reflect.Type{}
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		out[name] = t.Field(i).Type
	}
	return out
}

// nearest returns the known key with the smallest edit distance, the first in
// the alphabet among equals.
func nearest(k string, known map[string]reflect.Type) string {
	best, bestD := "", 1<<30
	for name := range known {
		if d := editDistance(k, name); d < bestD || (d == bestD && name < best) {
			best, bestD = name, d
		}
	}
	return best
}

func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diag := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			diag, row[j] = row[j], min(row[j]+1, row[j-1]+1, diag+cost)
		}
	}
	return row[len(b)]
}
