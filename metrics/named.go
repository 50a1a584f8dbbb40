package metrics

import (
	"reflect"
	"strings"
)

// Metric is one metric of a swing by its place in metrics.json, plane.attack_deg
// say.
type Metric struct {
	Name  string
	Value Value
}

// Metrics lists every metric of a swing in the order of metrics.json. It follows
// the types, so that a new metric need not be listed anywhere.
func (sw Swing) Metrics() []Metric { return appendMetrics(nil, "", reflect.ValueOf(sw)) }

func appendMetrics(to []Metric, path string, v reflect.Value) []Metric {
	if value, ok := v.Interface().(Value); ok {
		return append(to, Metric{Name: path, Value: value})
	}
	if v.Kind() != reflect.Struct {
		return to
	}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		at := path
		// An embedded struct's fields stand among their neighbours in JSON.
		if !f.Anonymous {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			at = strings.TrimPrefix(path+"."+name, ".")
		}
		to = appendMetrics(to, at, v.Field(i))
	}
	return to
}
