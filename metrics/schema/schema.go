package schema

import (
	"encoding/json"
	"reflect"
	"strings"

	"github.com/invopop/jsonschema"

	"ashline/metrics"
)

// FileName is the file of the present version, metrics-1.0.json for
// ashline.metrics/1.0.
func FileName() string {
	_, version, _ := strings.Cut(metrics.SchemaVersion, "/")
	return "metrics-" + version + ".json"
}

// Metrics is the schema of metrics.json, with a newline at its end.
func Metrics() ([]byte, error) {
	r := jsonschema.Reflector{Anonymous: true, AllowAdditionalProperties: true, Mapper: status}
	s := r.Reflect(&metrics.Result{})
	s.ID = jsonschema.ID("urn:" + metrics.SchemaVersion)
	nullable(s.Definitions, reflect.TypeFor[metrics.Result]())
	text, err := json.MarshalIndent(s, "", "  ")
	return append(text, '\n'), err
}

// status lists the states of a metric, which to the reflector are any string.
func status(t reflect.Type) *jsonschema.Schema {
	if t != reflect.TypeFor[metrics.Status]() {
		return nil
	}
	return &jsonschema.Schema{Type: "string", Enum: []any{metrics.Measured, metrics.Assumed, metrics.Missing}}
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
