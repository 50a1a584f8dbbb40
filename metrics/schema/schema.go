package schema

import (
	"encoding/json"
	"reflect"
	"strings"

	"github.com/invopop/jsonschema"

	"ashline/metrics"
	"ashline/metrics/change"
)

// Contract is one of the project's JSON contracts.
type Contract struct {
	Name    string // metrics, change
	Version string // its "schema" field, ashline.metrics/1.0 say
	of      any
}

// Contracts are all of them, metrics.json first.
func Contracts() []Contract {
	return []Contract{
		{"metrics", metrics.SchemaVersion, &metrics.Result{}},
		{"change", change.SchemaVersion, &change.Outcome{}},
	}
}

// FileName is the file of the present version, metrics-1.0.json for
// ashline.metrics/1.0.
func (c Contract) FileName() string {
	_, version, _ := strings.Cut(c.Version, "/")
	return c.Name + "-" + version + ".json"
}

// Text is the schema, with a newline at its end.
func (c Contract) Text() ([]byte, error) {
	r := jsonschema.Reflector{Anonymous: true, AllowAdditionalProperties: true, Mapper: listed}
	s := r.Reflect(c.of)
	s.ID = jsonschema.ID("urn:" + c.Version)
	nullable(s.Definitions, reflect.TypeOf(c.of))
	text, err := json.MarshalIndent(s, "", "  ")
	return append(text, '\n'), err
}

// listed gives the values of types that to the reflector are any string.
func listed(t reflect.Type) *jsonschema.Schema {
	switch t {
	case reflect.TypeFor[metrics.Status]():
		return &jsonschema.Schema{Type: "string", Enum: []any{metrics.Measured, metrics.Assumed, metrics.Missing}}
	case reflect.TypeFor[change.Verdict]():
		return &jsonschema.Schema{Type: "string", Enum: []any{change.Real, change.NotTold, change.SwingsOnly}}
	}
	return nil
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
