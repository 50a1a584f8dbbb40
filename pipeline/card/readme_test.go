package card

import (
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"ashline/metrics"
)

// The page tells of every field of the card, and its example is a card.
func TestReadme(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	page := string(raw)
	told := map[string]bool{}
	for _, m := range regexp.MustCompile("`([a-z_]+)`").FindAllStringSubmatch(page, -1) {
		told[m[1]] = true
	}
	var walk func(r reflect.Type)
	seen := 0
	walk = func(r reflect.Type) {
		for r.Kind() == reflect.Pointer || r.Kind() == reflect.Slice {
			r = r.Elem()
		}
		if r.Kind() != reflect.Struct {
			return
		}
		for f := range r.Fields() {
			name := f.Tag.Get("yaml")
			if name == "-" { // no field of a card
				continue
			}
			seen++
			if !told[name] {
				t.Errorf("README.md does not tell of %q", name)
			}
			walk(f.Type)
		}
	}
	walk(reflect.TypeFor[metrics.Card]())
	if seen < 40 || told["hight_m"] {
		t.Errorf("%d fields are looked for", seen)
	}
	_, example, _ := strings.Cut(page, "```yaml\n")
	example, _, _ = strings.Cut(example, "```")
	c, err := Parse(Source{Name: "README.md", Text: []byte(example)})
	if err != nil || c.Hitter != "fh-017" || c.Marks.Barrel == nil {
		t.Errorf("the example: got %+v, %v", c, err)
	}
}
