package svg

import (
	"fmt"
	"html"
	"strings"
	"unicode"
)

// Anchor is which part of a text its place holds.
type Anchor string

// The three anchors.
const (
	Left   Anchor = "start"
	Middle Anchor = "middle"
	Right  Anchor = "end"
)

// Text writes one line on a white halo, its baseline at at.
func (c *Canvas) Text(at XY, a Anchor, line string) { c.write(at, a, line, "") }

// Bold does the same in bold letters.
func (c *Canvas) Bold(at XY, a Anchor, line string) {
	c.write(at, a, line, " font-weight=\"bold\"")
}

func (c *Canvas) write(at XY, a Anchor, line, more string) {
	fmt.Fprintf(&c.b, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"%s\" fill=\"%s\" stroke=\"%s\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\"%s>%s</text>\n",
		at[0], at[1], a, Ink, Paper, more, html.EscapeString(Plain(line)))
}

// Plain is a line that XML can hold and that turns no text around it: what controls
// a terminal, the line or the direction of writing becomes a space or goes.
func Plain(line string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t' || r == '\u2028' || r == '\u2029':
			return ' '
		// U+FFFE and U+FFFF are no characters of XML.
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\ufffe' || r == '\uffff':
			return -1
		}
		return r
	}, strings.ToValidUTF8(line, "\ufffd"))
}

// Short is a plain line of at most so many characters; a longer one ends in an
// ellipsis.
func Short(line string, most int) string {
	line = strings.TrimSpace(Plain(line))
	if r := []rune(line); len(r) > most {
		return strings.TrimRightFunc(string(r[:most-1]), unicode.IsSpace) + "…"
	}
	return line
}
