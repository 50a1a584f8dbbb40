package rules

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"ashline/metrics/spell"
)

// maxSentence bounds a text in runes; the longest built-in one takes half of it.
const maxSentence = 600

// plainText refuses what a terminal or a page would obey rather than show.
func plainText(text string) error {
	if !utf8.ValidString(text) {
		return fmt.Errorf("not UTF-8")
	}
	for _, r := range text {
		if r != '\n' && r != '\r' && r != '\t' && !unicode.IsPrint(r) {
			return fmt.Errorf("control character %q", r)
		}
	}
	return nil
}

// check refuses keys that the type of to has not, and texts with control characters,
// which YAML can write as escapes.
func check(tree map[string]any, to any) error {
	return walk("", tree, reflect.TypeOf(to))
}

func walk(path string, v any, t reflect.Type) error {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch x := v.(type) {
	case map[string]any:
		return walkFields(path, x, t)
	case []any:
		if t.Kind() != reflect.Slice {
			return fmt.Errorf("%s: a list does not fit here", path)
		}
		for i, e := range x {
			if err := walk(fmt.Sprintf("%s[%d]", path, i), e, t.Elem()); err != nil {
				return err
			}
		}
	case string:
		if n := utf8.RuneCountInString(x); n > maxSentence {
			return fmt.Errorf("%s: %d characters, more than %d", path, n, maxSentence)
		}
		for _, r := range x {
			if !unicode.IsPrint(r) {
				return fmt.Errorf("%s: control character %q", path, r)
			}
		}
	}
	return nil
}

func walkFields(path string, x map[string]any, t reflect.Type) error {
	known := map[string]reflect.Type{}
	switch t.Kind() {
	case reflect.Struct:
		known = fields(t)
	case reflect.Map:
	default:
		return fmt.Errorf("%s: takes no fields of its own", path)
	}
	for _, k := range slices.Sorted(maps.Keys(x)) {
		full := strings.TrimPrefix(path+"."+k, ".")
		ft, ok := known[k]
		if t.Kind() == reflect.Map {
			ft, ok = t.Elem(), true
		}
		if !ok {
			return fmt.Errorf("%.80s: unknown key; nearest is %q", full, spell.Nearest(k, slices.Sorted(maps.Keys(known))))
		}
		if err := walk(full, x[k], ft); err != nil {
			return err
		}
	}
	return nil
}

func fields(t reflect.Type) map[string]reflect.Type {
	out := map[string]reflect.Type{}
	for f := range t.Fields() {
		if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); name != "-" {
			out[name] = f.Type
		}
	}
	return out
}
