package catalogue

import (
	"slices"
	"strings"
)

// Row returns the metric's row.
func (m Metric) Row() Row { return rows[m] }

// Path is the metric's place in metrics.json, within a swing.
func (m Metric) Path() string { return rows[m].Path }

// Group is the group that the metric stands in.
func (m Metric) Group() Group {
	head, _, _ := strings.Cut(m.Path(), ".")
	for _, g := range Groups {
		if g.Path == head {
			return g
		}
	}
	return Group{}
}

// Find returns the metric with a path; false when there is none.
func Find(path string) (Metric, bool) {
	m, ok := byPath[path]
	return m, ok
}

var byPath = func() map[string]Metric {
	out := make(map[string]Metric, NumMetrics)
	for m := range NumMetrics {
		out[m.Path()] = m
	}
	return out
}()

// Paths lists the paths of all metrics in the order of metrics.json.
func Paths() []string {
	out := make([]string, NumMetrics)
	for m := range NumMetrics {
		out[m] = m.Path()
	}
	return out
}

// Row returns the key position's row.
func (k Key) Row() KeyRow { return keys[k] }

// Path is the key position's name in metrics.json.
func (k Key) Path() string { return keys[k].Path }

// FindKey returns the key position of a name; false when there is none.
func FindKey(name string) (Key, bool) {
	for k := range NumKeys {
		if keys[k].Path == name {
			return k, true
		}
	}
	return 0, false
}

// KeyPaths lists the names of the key positions.
func KeyPaths() []string {
	out := make([]string, NumKeys)
	for k := range NumKeys {
		out[k] = k.Path()
	}
	return out
}

// Rest are the needs together with those of their key positions, and theirs: all that
// it rests on.
func (n Needs) Rest() Needs {
	out := Needs{Of: n.Of, At: slices.Clone(n.At), Joints: slices.Clone(n.Joints)}
	for i := 0; i < len(out.At); i++ {
		k := out.At[i].Row().Needs
		out.Of |= k.Of
		for _, at := range k.At {
			if !slices.Contains(out.At, at) {
				out.At = append(out.At, at)
			}
		}
		for _, j := range k.Joints {
			if !slices.Contains(out.Joints, j) {
				out.Joints = append(out.Joints, j)
			}
		}
	}
	return out
}
