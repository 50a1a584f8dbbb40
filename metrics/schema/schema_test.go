package schema_test

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/change"
	"ashline/metrics/geom"
	"ashline/metrics/schema"
)

var update = flag.Bool("update", false, "write the schema of a version that has no file yet")

// pins is the list of released schemas with their SHA-256, as sha256sum -c reads it.
const pins = "released.sha256"

func TestTypesMatchReleasedSchema(t *testing.T) {
	for _, c := range schema.Contracts() {
		t.Run(c.Name, func(t *testing.T) {
			got, err := generate(c)
			if err != nil {
				t.Fatal(err)
			}
			name := c.FileName()
			want, err := os.ReadFile(name)
			if errors.Is(err, fs.ErrNotExist) && *update {
				if err := os.WriteFile(name, got, 0o644); err != nil {
					t.Fatal(err)
				}
				pin(t, name, got)
				return
			}
			if err != nil {
				t.Fatalf("%v\nfor a new version run: go test ./metrics/schema -update", err)
			}
			is, err := meaning(got)
			if err != nil {
				t.Fatal(err)
			}
			was, err := meaning(want)
			if err != nil {
				t.Fatal(err)
			}
			if d := unlike(name, is, was); d != "" {
				t.Errorf("the result types no longer give %s, and a released schema never changes.\n"+
					"Raise the contract's SchemaVersion (a new field: the minor version; a field renamed, removed or of another type: the major)\n"+
					"and run: go test ./metrics/schema -update\nFirst difference: %s", name, d)
			}
		})
	}
}

func TestReleasedSchemasNeverChange(t *testing.T) {
	list, err := os.ReadFile(pins)
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("*.json")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(list)) {
		want, name, _ := strings.Cut(strings.TrimSpace(line), "  ")
		text, err := os.ReadFile(name)
		if err != nil {
			t.Errorf("%s was released and is gone: %v", name, err)
			continue
		}
		if sum(text) != want {
			t.Errorf("%s: got SHA-256 %s, want %s; a released schema never changes", name, sum(text), want)
		}
	}
	for _, name := range files {
		if !strings.Contains(string(list), "  "+name+"\n") {
			t.Errorf("%s is not in %s", name, pins)
		}
	}
}

// pin adds a schema to the released ones.
func pin(t *testing.T, name string, text []byte) {
	t.Helper()
	list, err := os.OpenFile(pins, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer list.Close()
	if _, err := fmt.Fprintf(list, "%s  %s\n", sum(text), name); err != nil {
		t.Fatal(err)
	}
}

// Versions of one contract differ in meaning, not in their names alone.
func TestMeaningTellsVersionsApart(t *testing.T) {
	t.Parallel()
	var of [2]any
	for i, name := range []string{"metrics-1.0.json", "metrics-1.1.json"} {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		m, err := meaning(text)
		if err != nil {
			t.Fatal(err)
		}
		delete(m.(map[string]any), "$id")
		of[i] = m
	}
	if unlike("", of[0], of[1]) == "" {
		t.Error("two versions mean the same")
	}
	if d := unlike("", of[1], of[1]); d != "" {
		t.Errorf("a version is unlike itself: %s", d)
	}
}

func sum(text []byte) string {
	h := sha256.Sum256(text)
	return hex.EncodeToString(h[:])
}

// A swing of which nothing is known has null for every value, and a card with
// everything on it has every kind of field.
func TestResultsFollowSchema(t *testing.T) {
	t.Parallel()
	var of [2]rules
	for i, c := range schema.Contracts() {
		text, err := generate(c)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(text, &of[i]); err != nil {
			t.Fatal(err)
		}
	}
	lost := metrics.Measure(metrics.Track{Swings: []metrics.Span{{}}}, metrics.Card{}, nil).Result
	full := lost
	full.Swings = slices.Clone(lost.Swings)
	full.Swings[0].Metrics[catalogue.PlaneAttackDeg] = metrics.Got(9, 8, 10, "deg")
	full.Card.Marks.Barrel = &metrics.Mark{Colour: "#ff2d95", Pixel: &geom.Point{3, 4}}
	full.Card.Scale = []metrics.Scale{{Points: []geom.Point{{1, 2}, {3, 4}}, LengthM: 0.4}}
	full.Findings = []metrics.Finding{{ID: "a", Key: "plane.gap_deg", Text: "b", Evidence: []string{"c"}}}
	wrongStatus := full
	wrongStatus.Swings = slices.Clone(full.Swings)
	wrongStatus.Swings[0].Metrics[catalogue.PlaneGapDeg].Status = "guessed"
	noNotes := full
	noNotes.Quality.Notes = nil
	changed, err := change.Groups([]metrics.Result{full}, []metrics.Result{full}, change.GroupOptions{})
	if err != nil {
		t.Fatal(err)
	}
	nothing, err := change.Groups([]metrics.Result{lost}, []metrics.Result{lost}, change.GroupOptions{})
	if err != nil {
		t.Fatal(err)
	}
	noVerdict := changed
	noVerdict.Changes = slices.Clone(changed.Changes)
	noVerdict.Changes[0].Verdict = "good"
	for _, tc := range []struct {
		name   string
		s      *rules
		result any
		fits   bool
	}{
		{"nothing known", &of[0], lost, true},
		{"much known", &of[0], full, true},
		{"a status that is none", &of[0], wrongStatus, false},
		{"notes that are null", &of[0], noNotes, false},
		{"no result", &of[0], map[string]any{"schema": metrics.SchemaVersion}, false},
		{"a change", &of[1], changed, true},
		{"nothing to compare", &of[1], nothing, true},
		{"a verdict that is none", &of[1], noVerdict, false},
		{"a result for a change", &of[1], full, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			data, err := json.Marshal(tc.result)
			if err != nil {
				t.Fatal(err)
			}
			var v any
			if err := json.Unmarshal(data, &v); err != nil {
				t.Fatal(err)
			}
			if faults := tc.s.check(tc.s, "", v); len(faults) == 0 != tc.fits {
				t.Errorf("got faults %q, want it to fit: %v", faults, tc.fits)
			}
		})
	}
}

// rules are the parts of JSON Schema (draft 2020-12) that the schema uses.
type rules struct {
	Ref        string            `json:"$ref"`
	Defs       map[string]*rules `json:"$defs"`
	Type       string            `json:"type"`
	Enum       []any             `json:"enum"`
	OneOf      []*rules          `json:"oneOf"`
	Properties map[string]*rules `json:"properties"`
	Required   []string          `json:"required"`
	Items      *rules            `json:"items"`
	MinItems   int               `json:"minItems"`
	MaxItems   *int              `json:"maxItems"`
}

// check returns where v breaks the rules; root holds the definitions.
func (r *rules) check(root *rules, at string, v any) []string {
	var faults []string
	fault := func(what string) { faults = append(faults, fmt.Sprintf("%s: %v is %s", at, v, what)) }
	if r.Ref != "" {
		faults = append(faults, root.Defs[strings.TrimPrefix(r.Ref, "#/$defs/")].check(root, at, v)...)
	}
	if r.Type != "" && !isType(r.Type, v) {
		fault("no " + r.Type)
	}
	if r.Enum != nil && !slices.Contains(r.Enum, v) {
		fault("none of the listed")
	}
	fitting := 0
	for _, one := range r.OneOf {
		if len(one.check(root, at, v)) == 0 {
			fitting++
		}
	}
	if r.OneOf != nil && fitting != 1 {
		fault("not exactly one of the kinds")
	}
	switch v := v.(type) {
	case map[string]any:
		for _, name := range r.Required {
			if _, ok := v[name]; !ok {
				fault("without " + name)
			}
		}
		for name, p := range r.Properties {
			if x, ok := v[name]; ok {
				faults = append(faults, p.check(root, at+"."+name, x)...)
			}
		}
	case []any:
		if len(v) < r.MinItems || r.MaxItems != nil && len(v) > *r.MaxItems {
			fault("of the wrong length")
		}
		for i, x := range v {
			if r.Items != nil {
				faults = append(faults, r.Items.check(root, fmt.Sprintf("%s[%d]", at, i), x)...)
			}
		}
	}
	return faults
}

func isType(want string, v any) bool {
	switch v := v.(type) {
	case nil:
		return want == "null"
	case bool:
		return want == "boolean"
	case string:
		return want == "string"
	case float64:
		return want == "number" || want == "integer" && v == float64(int64(v))
	case []any:
		return want == "array"
	}
	return want == "object"
}
