package guide

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
)

var update = flag.Bool("update", false, "write the page and its figures")

var folder = filepath.Join("..", "..", "metrics", "figures")

// leaves collects every field of a result but its card and its swings by its path in
// metrics.json. Of a list it takes the first.
func leaves(out map[string]bool, path string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Slice:
		if v.Type().Elem().Kind() == reflect.Struct {
			leaves(out, path+"[]", v.Index(0))
			return
		}
	case reflect.Struct:
		for i := range v.NumField() {
			switch name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ","); {
			case path == "" && (name == "card" || name == "swings"):
			case path == "":
				leaves(out, name, v.Field(i))
			default:
				leaves(out, path+"."+name, v.Field(i))
			}
		}
		return
	}
	out[path] = true
}

// Every field of metrics.json but those of the card has one text.
func TestEveryFieldHasOneText(t *testing.T) {
	t.Parallel()
	want := map[string]bool{}
	leaves(want, "", reflect.ValueOf(metrics.Result{Swings: []metrics.Swing{{}}, Findings: []metrics.Finding{{}}}))
	got := map[string]int{}
	for _, g := range factGroups {
		for _, f := range g.facts {
			got[f.path]++
		}
	}
	page := string(Page())
	for path := range (&metrics.Swing{}).Fields() {
		want["swings[]."+path] = true
		got["swings[]."+path] += strings.Count(page, ": `"+path+"`\n")
	}
	if len(want) < 70 {
		t.Fatalf("the walk over the result found only %d fields", len(want))
	}
	for path := range want {
		if got[path] != 1 {
			t.Errorf("%s has %d texts, want 1", path, got[path])
		}
	}
	for path := range got {
		if !want[path] {
			t.Errorf("the text of %q has no field", path)
		}
	}
}

func TestEveryUnitHasWords(t *testing.T) {
	t.Parallel()
	for m := range catalogue.NumMetrics {
		if r := m.Row(); units[r.Unit] == "" {
			t.Errorf("%s: no words for %q", r.Path, r.Unit)
		}
	}
}

func TestPageIsUpToDate(t *testing.T) {
	t.Parallel()
	upToDate(t, filepath.Join("..", "..", "metrics", "README.md"), Page())
	page := string(Page())
	var names []string
	for _, f := range Drawings() {
		upToDate(t, filepath.Join(folder, f.File), f.SVG)
		names = append(names, f.File)
		if strings.Count(page, "(figures/"+f.File+")") != 1 {
			t.Errorf("%s is not on the page once", f.File)
		}
	}
	files, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !slices.Contains(names, f.Name()) {
			t.Errorf("nothing draws %s", f.Name())
		}
	}
}

// upToDate compares a file of the tree with what the code makes.
func upToDate(t *testing.T, name string, want []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(name, want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	got, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s is not what the code makes; run: go test ./pipeline/guide -update", name)
	}
}

// Wide fonts run to 0.57 em a letter, bold ones to 0.65; a text that leaves the
// picture is cut off.
const letterEm, boldEm, fontPx = 0.57, 0.65, 15

func TestDrawingsAreReadable(t *testing.T) {
	t.Parallel()
	for _, f := range Drawings() {
		if len(f.SVG) > 30000 {
			t.Errorf("%s: %d bytes", f.File, len(f.SVG))
		}
		if f.Alt == "" {
			t.Errorf("%s has no description", f.File)
		}
		for _, line := range texts(t, f) {
			em := letterEm
			if line.attr["font-weight"] == "bold" {
				em = boldEm
			}
			wide := em * fontPx * float64(len([]rune(line.text)))
			from := line.x
			switch line.attr["text-anchor"] {
			case "middle":
				from -= wide / 2
			case "end":
				from -= wide
			}
			if from < 0 || from+wide > widthPx || line.y < fontPx-3 || line.y > line.height-3 {
				t.Errorf("%s: %q leaves the picture (%.0f to %.0f, line at %.0f)", f.File, line.text, from, from+wide, line.y)
			}
		}
	}
}

type label struct {
	text         string
	x, y, height float64
	attr         map[string]string
}

// texts reads the labels of a drawing, and with them the whole drawing as XML.
func texts(t *testing.T, f Drawing) []label {
	t.Helper()
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Errorf("%s: %v", f.File, err)
		}
		return x
	}
	var out []label
	var height float64
	inside := false
	d := xml.NewDecoder(strings.NewReader(string(f.SVG)))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%s: %v", f.File, err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			attr := map[string]string{}
			for _, a := range x.Attr {
				attr[a.Name.Local] = a.Value
			}
			if x.Name.Local == "svg" {
				height = number(attr["height"])
			}
			if inside = x.Name.Local == "text"; inside {
				out = append(out, label{x: number(attr["x"]), y: number(attr["y"]), height: height, attr: attr})
			}
		case xml.EndElement:
			inside = false
		case xml.CharData:
			if inside {
				out[len(out)-1].text = string(x)
			}
		}
	}
	if len(out) == 0 {
		t.Errorf("%s has no text", f.File)
	}
	return out
}
