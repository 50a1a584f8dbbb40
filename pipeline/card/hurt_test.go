package card

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ashline/pipeline/bounds"
	"ashline/pipeline/card/hurt"
)

// mostOfACard bounds the reading of one text as the largest one that is let through
// takes it, with a margin; a parser that saw 100 kB of brackets took 4 GB.
var mostOfACard = bounds.Limit{Bytes: 24 << 20, CPU: 5 * time.Second}

func TestCardsMadeToHurt(t *testing.T) { //nolint:paralleltest // it counts what the process allocates
	dir := t.TempDir()
	for _, c := range hurt.Cards() {
		t.Run(c.Name, func(t *testing.T) {
			p := filepath.Join(dir, "swing.card.yaml")
			if err := os.WriteFile(p, []byte(c.Text), 0o600); err != nil {
				t.Fatal(err)
			}
			var err, loadErr error
			mostOfACard.Call(t, func() { _, err = Parse(Source{p, []byte(c.Text)}) })
			_, loadErr = Load(p)
			switch {
			case !errors.Is(err, ErrBad):
				t.Fatalf("got %v, want a refusal", err)
			case !strings.Contains(err.Error(), c.Why):
				t.Errorf("got %q, want it to say %q", err, c.Why)
			case loadErr == nil || loadErr.Error() != err.Error():
				t.Errorf("the file is refused as %v, the text as %v", loadErr, err)
			case len(err.Error()) > 600 || strings.ContainsFunc(err.Error(), func(r rune) bool { return !printable(r) || r == '\n' }):
				t.Errorf("no plain line: %q", err)
			}
		})
	}
}

// What an editor or another system does to a good card costs nothing.
func TestGoodCardsInOtherClothes(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"byte-order mark": "\ufeff" + whole,
		"CRLF":            strings.ReplaceAll(whole, "\n", "\r\n"),
		"CR":              strings.ReplaceAll(whole, "\n", "\r"),
		"one document":    "---\n" + whole + "...\n",
		"a comment":       "# fernhill, cage 2: [[[ &a *b {{{ \u00e9\n" + whole,
		"nothing":         "",
		"JSON":            "{\n\t\"hitter\": \"fh-017\",\n\t\"label\": \"caf\\u00e9 [[[ \\\" {{{\",\n\t\"scale\": [{\"points\": [[1, 2], [3, 4]], \"length_m\": 0.5}]\n}",
		"brackets quoted": `label: "` + strings.Repeat("[", 100) + `"`,
	} {
		if err := parse(text); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
