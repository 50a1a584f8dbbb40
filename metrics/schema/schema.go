package schema

import (
	"embed"
	"strings"

	"ashline/metrics"
	"ashline/metrics/change"
)

// Contract is one of the project's JSON contracts.
type Contract struct {
	Name    string // metrics, change
	Version string // its "schema" field, ashline.metrics/1.0 say
}

// Contracts are all of them, metrics.json first.
func Contracts() []Contract {
	return []Contract{{"metrics", metrics.SchemaVersion}, {"change", change.SchemaVersion}}
}

// released are the released schemas.
//
//go:embed *.json
var released embed.FS

// FileName is the file of the present version, metrics-1.0.json for
// ashline.metrics/1.0.
func (c Contract) FileName() string {
	_, version, _ := strings.Cut(c.Version, "/")
	return c.Name + "-" + version + ".json"
}

// Text is the schema as it was released, with a newline at its end.
func (c Contract) Text() ([]byte, error) { return released.ReadFile(c.FileName()) }
