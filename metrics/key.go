package metrics

import "ashline/metrics/catalogue"

// Key is one key position. Times count from contact; Frame counts decoded
// frames from 0, frame i at its mid-exposure.
type Key struct {
	TimeS      *float64 `json:"t_s"`
	Frame      *float64 `json:"frame"`
	Confidence float64  `json:"confidence"`
	Status     Status   `json:"status"`
	Why        string   `json:"why,omitempty"`
}

// Keys are the key positions of a swing.
type Keys struct {
	Launch, Slot, Lag, Contact, Finish Key
}

// at is a key position by its number in the catalogue.
func (k *Keys) at(c catalogue.Key) *Key {
	return [...]*Key{&k.Launch, &k.Slot, &k.Lag, &k.Contact, &k.Finish}[c]
}

// NamedKey is a key position with its name in metrics.json.
type NamedKey struct {
	Name string
	Key
}

// Named lists the key positions in the order of metrics.json.
func (k Keys) Named() []NamedKey {
	out := make([]NamedKey, catalogue.NumKeys)
	for c := range catalogue.NumKeys {
		out[c] = NamedKey{c.Path(), *k.at(c)}
	}
	return out
}

// Of is a key position by its name; the zero Key for a name that is none.
func (k Keys) Of(name string) Key {
	if c, ok := catalogue.FindKey(name); ok {
		return *k.at(c)
	}
	return Key{}
}
