package schema_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/invopop/jsonschema"

	"ashline/metrics"
	"ashline/metrics/change"
	"ashline/metrics/contact"
	"ashline/metrics/schema"
)

// generate makes a contract's schema from the types and the catalogue.
func generate(c schema.Contract) ([]byte, error) {
	of := map[string]any{"metrics": &metrics.Result{}, "change": &change.Outcome{}}[c.Name]
	r := jsonschema.Reflector{Anonymous: true, AllowAdditionalProperties: true, Mapper: mapped}
	s := r.Reflect(of)
	s.ID = jsonschema.ID("urn:" + c.Version)
	if c.Name == "metrics" {
		for _, part := range []any{&metrics.Key{}, &metrics.Value{}} {
			maps.Copy(s.Definitions, r.Reflect(part).Definitions)
		}
	}
	nullable(s.Definitions, reflect.TypeOf(of))
	text, err := json.MarshalIndent(s, "", "  ")
	return append(text, '\n'), err
}

// mapped gives the schema of types that the reflector cannot see into: words of a list,
// and a swing, whose fields stand at paths.
func mapped(t reflect.Type) *jsonschema.Schema {
	switch t {
	case reflect.TypeFor[metrics.Status]():
		return &jsonschema.Schema{Type: "string", Enum: []any{metrics.Measured, metrics.Assumed, metrics.Missing}}
	case reflect.TypeFor[change.Verdict]():
		return &jsonschema.Schema{Type: "string", Enum: []any{change.Real, change.NotTold, change.SwingsOnly}}
	case reflect.TypeFor[metrics.Swing]():
		out := emptyObject()
		for path, field := range (&metrics.Swing{}).Fields() {
			put(out, path, leaf(field))
		}
		return out
	}
	return nil
}

func leaf(field any) *jsonschema.Schema {
	switch field.(type) {
	case *int:
		return &jsonschema.Schema{Type: "integer"}
	case *string:
		return &jsonschema.Schema{Type: "string"}
	case *float64:
		return &jsonschema.Schema{Type: "number"}
	case *contact.Outcome:
		return &jsonschema.Schema{Type: "string", Enum: []any{contact.Hit, contact.Tip, contact.Miss, contact.Check, contact.None}}
	}
	return &jsonschema.Schema{Ref: "#/$defs/" + reflect.TypeOf(field).Elem().Name()}
}

func emptyObject() *jsonschema.Schema {
	return &jsonschema.Schema{Type: "object", Properties: jsonschema.NewProperties()}
}

// put requires a property at a path through objects.
func put(in *jsonschema.Schema, path string, s *jsonschema.Schema) {
	name, rest, nested := strings.Cut(path, ".")
	if !slices.Contains(in.Required, name) {
		in.Required = append(in.Required, name)
		if nested {
			in.Properties.Set(name, emptyObject())
		}
	}
	if nested {
		put(in.Properties.Value(name), rest, s)
		return
	}
	in.Properties.Set(name, s)
}

// nullable lets a field be null where its type can: a missing metric has null
// for its value, which the reflector takes for a number in every case.
func nullable(defs jsonschema.Definitions, t reflect.Type) {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array:
		nullable(defs, t.Elem())
	case reflect.Struct:
		for f := range t.Fields() {
			name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
			if f.Type.Kind() == reflect.Pointer && options == "" {
				allowNull(defs[t.Name()], name)
			}
			nullable(defs, f.Type)
		}
	}
}

// allowNull changes one property, once.
func allowNull(s *jsonschema.Schema, name string) {
	was := s.Properties.Value(name)
	if was.OneOf == nil {
		s.Properties.Set(name, &jsonschema.Schema{OneOf: []*jsonschema.Schema{was, {Type: "null"}}})
	}
}

// meaning is a schema with its definitions written out where they are used: two with
// one meaning describe the same JSON, however they name their parts.
func meaning(text []byte) (any, error) {
	var root map[string]any
	if err := json.Unmarshal(text, &root); err != nil {
		return nil, err
	}
	defs, _ := root["$defs"].(map[string]any)
	delete(root, "$defs")
	var expand func(v any) any
	expand = func(v any) any {
		switch v := v.(type) {
		case map[string]any:
			if ref, ok := v["$ref"].(string); ok {
				for name, part := range expand(defs[strings.TrimPrefix(ref, "#/$defs/")]).(map[string]any) {
					v[name] = part
				}
				delete(v, "$ref")
			}
			for name, part := range v {
				v[name] = expand(part)
			}
		case []any:
			for i, part := range v {
				v[i] = expand(part)
			}
		}
		return v
	}
	return expand(root), nil
}

// unlike says where two meanings first differ; empty when nowhere.
func unlike(at string, got, want any) string {
	a, okA := got.(map[string]any)
	b, okB := want.(map[string]any)
	if !okA || !okB {
		if reflect.DeepEqual(got, want) {
			return ""
		}
		return fmt.Sprintf("%s: the types give %v, the file has %v", at, got, want)
	}
	names := slices.Concat(slices.Collect(maps.Keys(a)), slices.Collect(maps.Keys(b)))
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		if d := unlike(at+"."+name, a[name], b[name]); d != "" {
			return d
		}
	}
	return ""
}
