package results

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/change"
	"ashline/pipeline/bounds"
)

// result is what a measurement writes, in short.
func result(sum string) metrics.Result {
	s := metrics.Swing{}
	s.Metrics[catalogue.PlaneAttackDeg] = metrics.Got(4, 3, 5, "deg")
	s.Metrics[catalogue.PlaneGapDeg] = metrics.Lacking("deg", "no pitch line")
	return metrics.Result{
		Schema: metrics.SchemaVersion, Program: "1", Clip: metrics.Clip{SHA256: sum},
		Card: metrics.Card{Hitter: "fh-001", Kind: "tee"}, Swings: []metrics.Swing{s},
	}
}

func text(t testing.TB, r metrics.Result) string {
	t.Helper()
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// write puts text into a file and returns its path.
func write(t *testing.T, name, text string) string {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestRead(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := write(t, filepath.Join(dir, "swing", Name), text(t, result("a")))
	for _, path := range []string{file, filepath.Dir(file), filepath.Dir(file) + "/"} {
		r, err := Read(path)
		if err != nil {
			t.Fatal(err)
		}
		if r.Card.Hitter != "fh-001" || len(r.Swings) != 1 || r.Swings[0].Metrics[catalogue.PlaneAttackDeg].Float() != 4 {
			t.Errorf("got %+v", r)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write(t, filepath.Join(dir, "folder", "track.csv"), "frame\n")
	write(t, filepath.Join(dir, "nested", Name, "x"), "")
	for _, tc := range []struct{ name, path, want string }{
		{"nothing there", "nowhere", "no such file or folder"},
		{"folder without results", "folder", "no metrics.json in this folder"},
		{"folder of that name", "nested", "not a file"},
		{"path through a file", "folder/track.csv/x", "not a directory"},
		{"another file", "folder/track.csv", "not JSON"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			_, err := Read(filepath.Join(dir, tc.path))
			if !errors.Is(err, ErrBad) || !strings.Contains(err.Error(), tc.want) || !strings.Contains(err.Error(), dir) {
				t.Errorf("got %v, want %q", err, tc.want)
			}
		})
	}
}

func TestReadGroup(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	var files []string
	for _, sum := range []string{"a", "b", "", ""} { // without a sum nothing says that clips are one
		name := filepath.Join(dir, string(rune('0'+len(files))), Name)
		files = append(files, write(t, name, text(t, result(sum))))
	}
	group, err := ReadGroup(files)
	if err != nil || len(group) != 4 || group[1].Clip.SHA256 != "b" {
		t.Fatalf("got %d, %v", len(group), err)
	}
	_, err = ReadGroup(append(files, filepath.Dir(files[0])))
	if !errors.Is(err, ErrTwice) || !strings.Contains(err.Error(), files[0]) {
		t.Errorf("got %v, want %v", err, ErrTwice)
	}
	if _, err := ReadGroup([]string{files[0], "nowhere"}); !errors.Is(err, ErrBad) {
		t.Errorf("got %v, want %v", err, ErrBad)
	}
}

// hostile are texts that are not to be believed, with the part of the error
// that says why.
func hostile(t testing.TB) map[string]struct{ text, want string } {
	t.Helper()
	good := text(t, result("a"))
	swap := func(old, with string) string {
		if !strings.Contains(good, old) {
			t.Fatalf("%q is not in %s", old, good)
		}
		return strings.Replace(good, old, with, 1)
	}
	const attack = `"value":4,"unit":"deg","low":3,"high":5,"status":"measured"`
	return map[string]struct{ text, want string }{
		"empty":             {"", "the file is empty"},
		"blank":             {" \n\t", "the file is empty"},
		"too large":         {strings.Repeat(" ", MaxBytes) + good, "more than"},
		"no JSON":           {"\x00\x00\x00\x18ftypmp42", "not JSON"},
		"cut short":         {good[:len(good)/2], "not JSON"},
		"two values":        {good + good, "not JSON"},
		"deep":              {strings.Repeat("[", 1e6), "not JSON"},
		"list":              {"[1]", "names no schema"},
		"null":              {"null", "names no schema"},
		"number for schema": {swap(`"schema":"ashline.metrics/1.2"`, `"schema":1`), "names no schema"},
		"next version":      {swap("ashline.metrics/1.2", "ashline.metrics/2.0"), `schema "ashline.metrics/2.0", this program reads "ashline.metrics/1.2"`},
		"tenth version":     {swap("ashline.metrics/1.2", "ashline.metrics/10.0"), "this program reads"},
		"no minor version":  {swap("ashline.metrics/1.2", "ashline.metrics/1."), "this program reads"},
		"other JSON":        {swap("ashline.metrics/1.2", "ashline.change/1.0"), `schema "ashline.change/1.0", no metrics.json`},
		"odd schema":        {swap("ashline.metrics/1.2", `ashline.metrics/\u001b[2J`), `\x1b`},
		"no swings":         {`{"schema":"ashline.metrics/1.0","swings":[]}`, "no swings"},
		"null swings":       {`{"schema":"ashline.metrics/1.0","swings":null}`, "no swings"},
		"word for a number": {swap(`"value":4`, `"value":"four"`), "plane.attack_deg.value: string does not fit"},
		"list for swings":   {`{"schema":"ashline.metrics/1.0","swings":{}}`, "swings: object does not fit"},
		"beyond numbers":    {swap(`"value":4`, `"value":1e999`), "does not fit"},
		"kind":              {swap(`"kind":"tee"`, `"kind":"tea"`), "card: kind"},
		"hitter":            {swap("fh-001", `\u001b[2J`), "card: hitter"},
		"status":            {swap(attack, strings.Replace(attack, "measured", "certain", 1)), "swings[0].plane.attack_deg: status"},
		"measured nothing":  {swap(attack, strings.Replace(attack, "4", "null", 1)), "measured without a value"},
		"missing number":    {swap(attack, strings.Replace(attack, "measured", "missing", 1)), `a value with the status "missing"`},
		"half an interval":  {swap(attack, strings.Replace(attack, "3", "null", 1)), "half an interval"},
		"upside down":       {swap(attack, strings.Replace(attack, "3", "9", 1)), "interval from 9 down to 5"},
		"control character": {swap("no pitch line", `\u001b[31m`), "control character"},
		"line break":        {swap("no pitch line", `\n`), "control character"},
		"unit":              {swap(attack, strings.Replace(attack, "deg", `\u0007`, 1)), "control character"},
		"program":           {swap(`"program":"1"`, `"program":"\u0008"`), "program: text"},
		"endless why":       {swap("no pitch line", strings.Repeat("x", maxText+1)), "longer than"},
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	for name, tc := range hostile(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := Parse([]byte(tc.text))
			if err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Fatalf("got %v, want %q", err, tc.want)
			}
			if line := err.Error(); strings.Contains(line, "\n") || len(line) > 300 || checkText(line) != nil {
				t.Errorf("not one readable line: %q", line)
			}
		})
	}
}

// A later minor version may add fields; what an older one lacks is missing.
func TestParseOtherMinorVersion(t *testing.T) {
	t.Parallel()
	r, err := Parse([]byte(`{"schema":"ashline.metrics/1.12","novel":[{}],"swings":[{"index":0,"novel":1}]}`))
	if err != nil {
		t.Fatal(err)
	}
	o, err := change.Groups([]metrics.Result{r}, []metrics.Result{r}, change.GroupOptions{})
	if err != nil || len(o.Changes) != 0 || len(o.LeftOut) != len(catalogue.Paths()) {
		t.Errorf("got %+v, %v", o, err)
	}
}

// Whatever the file, there is an error or an outcome that can be printed and
// written as JSON, and nothing in it that a terminal would obey.
func FuzzParse(f *testing.F) {
	good := text(f, result("a"))
	f.Add([]byte(good))
	for name, tc := range hostile(f) {
		if name != "too large" && name != "deep" {
			f.Add([]byte(tc.text))
		}
	}
	other := result("b")
	other.Swings = append(other.Swings, other.Swings[0])
	other.Swings[1].Metrics[catalogue.PlaneAttackDeg] = metrics.Got(6, 5, 8, "deg")
	f.Fuzz(func(t *testing.T, text []byte) {
		var r metrics.Result
		var err error
		bounds.Limit{Bytes: 4<<20 + 64*uint64(len(text)), CPU: 5 * time.Second}.Call(t, func() { r, err = Parse(text) })
		if err != nil {
			return
		}
		for _, after := range []metrics.Result{r, other} {
			o, err := change.Groups([]metrics.Result{r}, []metrics.Result{after}, change.GroupOptions{Mix: true})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := json.Marshal(o); err != nil {
				t.Fatal(err)
			}
			var b strings.Builder
			if err := WriteChange(&b, o); err != nil {
				t.Fatal(err)
			}
			for line := range strings.Lines(b.String()) {
				if i := slices.IndexFunc([]rune(strings.TrimSuffix(line, "\n")), func(r rune) bool { return r < ' ' || r == 0x7f }); i >= 0 {
					t.Fatalf("control character in %q", line)
				}
			}
		}
	})
}
