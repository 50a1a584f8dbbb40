package card

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"sort"
	"strings"

	"ashline/metrics"
	"ashline/metrics/spell"
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
				// Quoted: a name put where a key belongs must not come into a log, which
				// leaves out what is quoted.
				return fmt.Errorf("%.80q: unknown key; nearest is %q", full, spell.Nearest(k, slices.Collect(maps.Keys(known))))
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
