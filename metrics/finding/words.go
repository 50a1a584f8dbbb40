package finding

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ashline/metrics/catalogue"
	"ashline/metrics/spell"
)

// Words is all wording of findings, in one language. A sentence has numbers in braces:
// {zone.enter_s} is that metric in coach's units.
type Words struct {
	// Units write numbers; {n} is the number.
	Units Units `json:"units"`
	// Say has each rule's sentence by its name.
	Say map[string]string `json:"say"`
	// Next has, by the same names, what to work on.
	Next map[string]string `json:"next"`
	// Change has, by metric, what is said of a change; {before}, {after} and {change} are
	// the means of both sides and how far they are apart.
	Change map[string]Turn `json:"change"`
	// OneSwing goes round a sentence on a change between single swings, {sentence}.
	OneSwing string `json:"one_swing"`
}

// Turn is what is said when a metric got better, and when it got worse.
type Turn struct {
	Better string `json:"better"`
	Worse  string `json:"worse"`
}

// Units are the phrases for numbers.
type Units struct {
	Time    string `json:"time"`    // n ms
	Before  string `json:"before"`  // n ms before contact
	After   string `json:"after"`   // n ms after contact
	Contact string `json:"contact"` // less than half a ms from contact; no number
	Length  string `json:"length"`  // n cm
	Angle   string `json:"angle"`   // n degrees
	Speed   string `json:"speed"`   // n m/s
	Share   string `json:"share"`   // n percent
}

// number writes a metric's value in coach's units.
func (u Units) number(metric string, v float64) string {
	m, _ := catalogue.Find(metric)
	if m.Row().Moment {
		switch ms := math.Round(1000 * v); {
		case ms < 0:
			return u.in(u.Before, -ms)
		case ms > 0:
			return u.in(u.After, ms)
		}
		return u.Contact
	}
	return u.size(metric, v)
}

// size writes a difference of two values of a metric, or a value that is no moment.
func (u Units) size(metric string, v float64) string {
	m, _ := catalogue.Find(metric)
	switch m.Row().Unit {
	case "s":
		return u.in(u.Time, 1000*v)
	case "m":
		return u.in(u.Length, 100*v)
	case "deg":
		return u.in(u.Angle, v)
	case "m/s":
		return u.in(u.Speed, v)
	}
	return u.in(u.Share, 100*v)
}

// in puts a number into its phrase.
func (u Units) in(phrase string, v float64) string {
	n := strconv.FormatFloat(math.Abs(math.Round(v)), 'f', 0, 64)
	if math.Round(v) < 0 {
		n = "−" + n
	}
	return strings.ReplaceAll(phrase, "{n}", n)
}

// phrases are the units by their names in a file.
func (u Units) phrases() map[string]string {
	return map[string]string{
		"time": u.Time, "before": u.Before, "after": u.After, "contact": u.Contact,
		"length": u.Length, "angle": u.Angle, "speed": u.Speed, "share": u.Share,
	}
}

var errBrace = errors.New("a brace without its partner")

// numbers lists what stands in braces in a sentence.
func numbers(sentence string) ([]string, error) {
	var out []string
	for rest := sentence; ; {
		open := strings.IndexAny(rest, "{}")
		if open < 0 {
			return out, nil
		}
		if rest[open] == '}' {
			return nil, errBrace
		}
		rest = rest[open+1:]
		end := strings.IndexAny(rest, "{}")
		if end < 0 || rest[end] == '{' {
			return nil, errBrace
		}
		out = append(out, rest[:end])
		rest = rest[end+1:]
	}
}

// checkSentence refuses an empty sentence and one that names a number which it cannot
// have.
func checkSentence(sentence string, may []string) error {
	if strings.TrimSpace(sentence) == "" {
		return errors.New("is empty")
	}
	names, err := numbers(sentence)
	if err != nil {
		return err
	}
	for _, n := range names {
		if slices.Contains(may, n) {
			continue
		}
		if len(may) == 0 {
			return fmt.Errorf("unknown number {%.60s}; it can have none", n)
		}
		return fmt.Errorf("unknown number {%.60s}; nearest is {%s}", n, spell.Nearest(n, may))
	}
	return nil
}

// fill puts numbers into a sentence.
func fill(sentence string, number func(name string) string) string {
	var b strings.Builder
	for {
		before, rest, ok := strings.Cut(sentence, "{")
		b.WriteString(before)
		if !ok {
			return b.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		b.WriteString(number(name))
		sentence = after
	}
}
