package svg_test

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"ashline/pipeline/svg"
)

// hostile texts end elements, break XML or turn the direction of writing.
var hostile = []string{
	`</text><script>alert(1)</script>`, `"/><image href="x" onerror="alert(1)"/>`, "a\x00b\x1b[31mc", "\u202eright to left\u2066",
	"two\nlines\u2028and more", "\xff\xfe not UTF-8", "]]>--><!-- & &amp;", "\ufffe\uffff", strings.Repeat("long ", 60),
}

// elements counts the elements of a drawing by name and gives all its text.
func elements(t *testing.T, figure []byte) (count map[string]int, text string) {
	t.Helper()
	count = map[string]int{}
	d := xml.NewDecoder(strings.NewReader(string(figure)))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return count, text
		}
		if err != nil {
			t.Fatalf("not XML: %v\n%s", err, figure)
		}
		switch x := token.(type) {
		case xml.StartElement:
			count[x.Name.Local]++
		case xml.CharData:
			text += string(x)
		}
	}
}

func TestHostileTextStaysText(t *testing.T) {
	t.Parallel()
	for _, line := range hostile {
		figure := svg.Draw(100, 50, line, line, func(c *svg.Canvas) {
			c.Text(svg.XY{1, 2}, svg.Left, line)
			c.Bold(svg.XY{1, 2}, svg.Right, line)
			c.Within(svg.XY{}, svg.XY{9, 9}, func() { c.Dot(svg.XY{3, 4}, svg.Ink) })
		})
		got, text := elements(t, figure)
		want := map[string]int{"svg": 2, "title": 1, "desc": 1, "rect": 1, "text": 2, "circle": 1}
		for name, n := range got {
			if n != want[name] {
				t.Errorf("%q: %d %s elements, want %d", line, n, name, want[name])
			}
		}
		if strings.ContainsAny(text, "\x00\x1b\u202e\u2066\u2028") {
			t.Errorf("%q: %q holds control characters", line, text)
		}
	}
}

func TestShort(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in   string
		most int
		want string
	}{
		{"before", 10, "before"},
		{" before ", 6, "before"},
		{"before the break", 8, "before…"},
		{"ααααα", 3, "αα…"},
		{"a\nb", 9, "a b"},
		{"\u202eabc", 9, "abc"},
		{"", 5, ""},
	} {
		if got := svg.Short(c.in, c.most); got != c.want {
			t.Errorf("Short(%q, %d) = %q, want %q", c.in, c.most, got, c.want)
		}
	}
}
