package metrics

import (
	"encoding/json"
	"errors"
	"iter"
	"strings"

	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
)

// Swing is one swing of the clip. In JSON each of its fields stands at its path, the
// metrics at those of the catalogue.
type Swing struct {
	Index int
	// Outcome is what became of the swing, and OutcomeProbability how likely that is.
	Outcome            contact.Outcome
	OutcomeProbability float64
	Keys               Keys
	// Line is where the pitch line comes from: tracked, drawn, flight or none.
	Line string
	// Metrics are the metrics by their numbers in the catalogue.
	Metrics [catalogue.NumMetrics]Value
}

// Fields are the paths of a swing's fields in the order of metrics.json, each with a
// pointer to the field.
func (sw *Swing) Fields() iter.Seq2[string, any] {
	return func(yield func(string, any) bool) {
		if !yield("index", &sw.Index) {
			return
		}
		if !yield("outcome", &sw.Outcome) || !yield("outcome_probability", &sw.OutcomeProbability) {
			return
		}
		for k := range catalogue.NumKeys {
			if !yield("keys."+k.Path(), sw.Keys.at(k)) {
				return
			}
		}
		if !yield("pitch.line", &sw.Line) {
			return
		}
		for m := range catalogue.NumMetrics {
			if !yield(m.Path(), &sw.Metrics[m]) {
				return
			}
		}
	}
}

// MarshalJSON implements json.Marshaler.
func (sw Swing) MarshalJSON() ([]byte, error) {
	var o object
	for path, field := range sw.Fields() {
		o.put(path, field)
	}
	return json.Marshal(o)
}

// UnmarshalJSON implements json.Unmarshaler. A field that the text does not hold, of an
// older version say, stays as it is.
func (sw *Swing) UnmarshalJSON(text []byte) error {
	r := reader{}
	if err := json.Unmarshal(text, &r.root); err != nil {
		return err
	}
	for path, field := range sw.Fields() {
		if err := r.get(path, field); err != nil {
			return err
		}
	}
	return nil
}

// object is a JSON object whose members keep the order in which they were put.
type object struct {
	names   []string
	members map[string]any
}

// put sets the member at a path through objects.
func (o *object) put(path string, v any) {
	name, rest, nested := strings.Cut(path, ".")
	if _, ok := o.members[name]; !ok {
		if o.members == nil {
			o.members = map[string]any{}
		}
		o.names = append(o.names, name)
		if nested {
			o.members[name] = &object{}
		}
	}
	if nested {
		o.members[name].(*object).put(rest, v)
		return
	}
	o.members[name] = v
}

// MarshalJSON implements json.Marshaler.
func (o object) MarshalJSON() ([]byte, error) {
	text := []byte{'{'}
	for i, name := range o.names {
		if i > 0 {
			text = append(text, ',')
		}
		key, err := json.Marshal(name)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(o.members[name])
		if err != nil {
			return nil, err
		}
		text = append(append(append(text, key...), ':'), value...)
	}
	return append(text, '}'), nil
}

// reader finds members of a JSON object by their paths; each object within is parsed
// once.
type reader struct {
	root   map[string]json.RawMessage
	parsed map[string]map[string]json.RawMessage
}

// get decodes the member at a path, if there is one.
func (r *reader) get(path string, to any) error {
	in, name := r.root, path
	if i := strings.LastIndex(path, "."); i >= 0 {
		var err error
		if in, err = r.object(path[:i]); err != nil {
			return err
		}
		name = path[i+1:]
	}
	text, ok := in[name]
	if !ok {
		return nil
	}
	err := json.Unmarshal(text, to)
	var unfit *json.UnmarshalTypeError
	if errors.As(err, &unfit) {
		unfit.Field = strings.TrimSuffix(path+"."+unfit.Field, ".")
	}
	return err
}

func (r *reader) object(path string) (map[string]json.RawMessage, error) {
	if o, ok := r.parsed[path]; ok {
		return o, nil
	}
	var o map[string]json.RawMessage
	if err := r.get(path, &o); err != nil {
		return nil, err
	}
	if r.parsed == nil {
		r.parsed = map[string]map[string]json.RawMessage{}
	}
	r.parsed[path] = o
	return o, nil
}
