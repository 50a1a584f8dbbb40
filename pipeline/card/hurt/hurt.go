package hurt

import (
	"fmt"
	"strings"
)

// Card is a text and what the reason for its refusal says among other things.
type Card struct {
	Name string
	Text string
	Why  string
}

// many is more than the text of a card may have, in bytes.
const many = 1 << 20

// most is nearly what the text of a card may have, in bytes.
const most = 32<<10 - 64

// Cards are the cards, in no order.
func Cards() []Card {
	const (
		large  = "bytes, more than"
		deep   = "in each other"
		second = "a second document"
		twice  = "already defined"
		merge  = "merge key"
	)
	return []Card{
		// What a parser resolves.
		{"22 levels of merge keys", merges(22), "anchor"},
		{"200 levels of merge keys", merges(200), "anchor"},
		{"a merge key of a group in place", "<<: {hitter: fh-001}", merge},
		{"a merge key of a list", "camera: {<<: [{side: open}, {side: closed}]}", merge},
		{"a merge key in JSON", "{<<: {\"hitter\": \"fh-001\"}}", merge},
		{"30 levels of aliases", aliases(30), "anchor"},
		{"an anchor that nobody uses", "hitter: &h fh-001", "anchor"},
		{"an anchor of itself", "a: &a [*a, *a]", "anchor"},
		{"an alias of nothing", "hitter: *h", "alias"},
		{"an alias as a key", "*h : fh-001", "alias"},
		{"an anchor a byte", repeated("&a ", most), "anchor"},
		{"an alias a byte", "a: [" + repeated("*a,", most) + "]", "alias"},
		{"a tag that makes a type", "hitter: !!python/object:os.system fh-001", "tag"},
		{"a tag of its own", "hitter: !owner fh-001", "tag"},
		{"bytes as a tag", "label: !!binary aGl0dGVy", "tag"},
		{"a set", "marks: !!set {barrel, hands}", "tag"},
		{"tags alone", strings.Repeat("!", most), "not readable"},
		{"a directive", "%YAML 1.1\n---\nhitter: fh-001", "directive"},
		{"directives alone", repeated("%TAG ! tag:x,2000:\n", most), "directive"},
		// Nesting.
		{"100 kB of brackets", `{"label":` + strings.Repeat("[", 100_000), large},
		{"brackets to the limit", `{"label":` + strings.Repeat("[", most), deep},
		{"braces to the limit", repeated(`{"a":`, most), deep},
		{"brackets that close", "label: " + strings.Repeat("[", most/2) + strings.Repeat("]", most/2), deep},
		{"JSON nested in JSON", repeated(`{"camera":`, most/2) + strings.Repeat("}", most/20), deep},
		{"brackets with quoted ends", "label: " + repeated(`["]",`, most), deep},
		{"lists on one line", repeated("- ", most), deep},
		{"lists by their indents", stairs("- ", 120), deep},
		{"groups by their indents", stairs("a:", 200), deep},
		{"keys with a question mark", repeated("? ", most), "marked with ?"},
		{"nesting across kinds", stairs("- a:", 60) + strings.Repeat("[", 40), deep},
		{"brackets as a key", "{" + strings.Repeat("[", 200) + "1" + strings.Repeat("]", 200) + ": 1}", deep},
		// Documents.
		{"two documents", "hitter: fh-001\n---\nhitter: fh-002", second},
		{"a document after the end", "hitter: fh-001\n...\nhitter: fh-002", second},
		{"8,000 documents", repeated("---\n", most), second},
		{"8,000 ends", repeated("...\n", most), second},
		{"two values of JSON", `{"hitter":"fh-001"}{"hitter":"fh-002"}`, "line 1"},
		// The same said twice.
		{"one key twice", "hitter: fh-001\nhitter: fh-002", twice},
		{"one key twice, quoted", "hitter: fh-001\n\"hitter\": fh-002", twice},
		{"one key twice, deep", "camera: {side: open, side: closed}", twice},
		{"one key twice in JSON", `{"camera":{"roll_deg":1,"roll_deg":2}}`, twice},
		// Size.
		{"1 MB of quotes", strings.Repeat(`"`, many), large},
		{"1 MB of single quotes", strings.Repeat("'", many), large},
		{"1 MB of text", "label: " + strings.Repeat("x", many), large},
		{"1 MB of spaces", strings.Repeat(" ", many), large},
		{"quotes to the limit", strings.Repeat(`"`, most), ""},
		{"single quotes to the limit", strings.Repeat("'", most), ""},
		{"a long label", "label: " + strings.Repeat("x", most), "label: longer"},
		{"a long label over lines", "label: >\n" + repeated(" x\n", most), "label: longer"},
		{"a long key", strings.Repeat("k", most) + ": 1", "unknown key"},
		{"thousands of keys", numbered("k%d: 1\n", most), "words, numbers and signs"},
		{"thousands of scales", "scale: [" + repeated("{ball: true},", most) + "]", "words, numbers and signs"},
		{"text without an end", "label: \"" + repeated("x\n", most), ""},
		// Characters.
		{"bytes of nothing", "hitter: fh-001\x00", "control character"},
		{"a bell", "label: \a", "control character"},
		{"an escape to a terminal", "label: \x1b[2J", "control character"},
		{"an escape to a terminal, spelled", `label: "\e[2J"`, "label"},
		{"a nothing, spelled", `label: "a\0b"`, "label"},
		{"a line break in an id", "hitter: \"fh\r\n\r\n001\"", "hitter"},
		{"a byte-order mark within", "hitter: \ufefffh-001", "control character"},
		{"UTF-16", "\xff\xfeh\x00i\x00t\x00", "UTF-8"},
		{"a byte cut off", "label: caf\xc3", "UTF-8"},
		{"half a pair", "label: \xed\xa0\x80", "UTF-8"},
		{"an overlong slash", "hitter: ..\xc0\xaf..", "UTF-8"},
		// Numbers.
		{"no number", "camera: {distance_m: .nan}", "not a number"},
		{"an endless number", "camera: {distance_m: .inf}", "not a finite number"},
		{"an endless number, negative", "camera: {roll_deg: -.Inf}", "not a finite number"},
		{"a number too large", "camera: {distance_m: 1e999}", "camera.distance_m"},
		{"an exponent of 30,000 digits", "camera: {distance_m: 1e" + strings.Repeat("9", most) + "}", "camera.distance_m"},
		{"a number of 30,000 digits", "camera: {distance_m: " + strings.Repeat("9", most) + "}", "camera.distance_m"},
		{"a whole number too large", "marks: {barrel: {pixel: [1, 2], frame: 99999999999999999999}}", "marks.barrel.frame"},
		{"a frame and a half", "marks: {barrel: {pixel: [1, 2], frame: 1.5}}", "marks.barrel.frame"},
		{"a number of another base", "camera: {distance_m: 0xfffffffffffffffffffffff}", "camera.distance_m"},
		// Neither fish nor fowl.
		{"text alone", "fh-001", ""},
		{"a list", "- hitter: fh-001", ""},
		{"a program", "#!/bin/sh\nrm -rf /\n", ""},
		{"a clip", "\x00\x00\x00\x18ftypmp42", "control character"},
	}
}

// merges are groups each of which takes in the one before it twice: a parser that
// does as it is told writes the first one 2^levels times.
func merges(levels int) string {
	var b strings.Builder
	b.WriteString("x0: &x0 {k0: 1}\n")
	for i := 1; i <= levels; i++ {
		fmt.Fprintf(&b, "x%d: &x%d {<<: [*x%d, *x%d], k%d: 1}\n", i, i, i-1, i-1, i)
	}
	return b.String()
}

func aliases(levels int) string {
	var b strings.Builder
	b.WriteString("x0: &x0 [1]\n")
	for i := 1; i <= levels; i++ {
		fmt.Fprintf(&b, "x%d: &x%d [*x%d, *x%d, *x%d]\n", i, i, i-1, i-1, i-1)
	}
	return b.String()
}

// repeated is a part as often as it goes into a size.
func repeated(part string, bytes int) string { return strings.Repeat(part, bytes/len(part)) }

// stairs are lines each of which is indented by one more.
func stairs(part string, lines int) string {
	var b strings.Builder
	for i := range lines {
		b.WriteString(strings.Repeat(" ", i) + part + "\n")
	}
	return b.String()
}

func numbered(format string, bytes int) string {
	var b strings.Builder
	for i := 0; b.Len() < bytes; i++ {
		fmt.Fprintf(&b, format, i)
	}
	return b.String()
}
