package pipeline

import (
	"encoding/json"
	"runtime/debug"

	"ashline/metrics"

	"github.com/invopop/jsonschema"
)

// version changes whenever results for the same clip and card may change.
const version = "0.1.0"

// Version names the program and its version; it is part of every bundle's key.
func Version() string {
	rev := ""
	if bi, ok := debug.ReadBuildInfo(); ok {
		for _, s := range bi.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				rev = "+" + s.Value[:12]
			}
		}
	}
	return version + rev
}

// Schema is the JSON Schema of metrics.json, generated from the types.
func Schema() ([]byte, error) {
	r := jsonschema.Reflector{Anonymous: true}
	s := r.Reflect(&metrics.Result{})
	s.ID = jsonschema.ID("urn:" + metrics.SchemaVersion)
	return json.MarshalIndent(s, "", "  ")
}
