package card

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/token"
)

const (
	// MaxBytes bounds a card's text. One that states everything, with a comment a
	// field, has about 4 kB.
	MaxBytes = 32 << 10
	// maxDepth bounds how deep groups and lists stand in each other. A card's deepest
	// place, a number of a point of a scale, is the fourth.
	maxDepth = 20
	// maxTokens bounds the words, numbers and signs of a text: a parser's work may grow
	// as their square. A card that states everything has about 300.
	maxTokens = 4000
	// maxReason bounds what the parser says of a text, in runes: it quotes the text.
	maxReason = 160
)

// read turns a card's text into fields. A card is a stranger's: what makes a YAML
// parser work for longer than the text is long, and what makes two readers of one
// text understand two things, is refused before the parser sees it.
func read(text []byte) (m map[string]any, err error) {
	defer func() {
		if r := recover(); r != nil { // of the parser
			m, err = nil, errors.New("not readable as YAML or JSON")
		}
	}()
	plain, err := plainText(text)
	if err != nil {
		return nil, err
	}
	tokens := lexer.Tokenize(plain)
	if len(tokens) == 0 && strings.TrimSpace(plain) != "" {
		return nil, errors.New("not readable as YAML or JSON")
	}
	if err := checkTokens(tokens); err != nil {
		return nil, err
	}
	if err := yaml.Unmarshal([]byte(plain), &m); err != nil {
		return nil, plainError(err)
	}
	return m, nil
}

// plainText is a card's text without its byte-order mark and with one kind of line
// break. It holds nothing but the printable characters of YAML 1.2.2, §5.1.
func plainText(text []byte) (string, error) {
	if len(text) > MaxBytes {
		return "", tooLong(int64(len(text)))
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if !utf8.Valid(text) {
		return "", errors.New("not a text in UTF-8")
	}
	plain := strings.ReplaceAll(strings.ReplaceAll(string(text), "\r\n", "\n"), "\r", "\n")
	for i, r := range plain {
		if !printable(r) {
			return "", fmt.Errorf("line %d: control character %U", 1+strings.Count(plain[:i], "\n"), r)
		}
	}
	return plain, nil
}

func tooLong(bytes int64) error { return fmt.Errorf("%d bytes, more than %d", bytes, MaxBytes) }

func printable(r rune) bool {
	switch {
	case r == '\t', r == '\n', r == 0x85:
		return true
	case r < ' ', r >= 0x7f && r < 0xa0, r == 0xfeff, r == 0xfffe, r == 0xffff:
		return false
	}
	return true
}

// refused says why a token has no place in a card.
var refused = map[token.Type]string{
	token.AnchorType:     "an anchor (&) has no place in a card",
	token.AliasType:      "an alias (*) has no place in a card; text that begins with * wants quotes",
	token.MergeKeyType:   "a merge key (<<) has no place in a card",
	token.TagType:        "a tag (!) has no place in a card; text that begins with ! wants quotes",
	token.DirectiveType:  "a directive (%) has no place in a card",
	token.MappingKeyType: "a key marked with ? has no place in a card",
	token.NanType:        "not a number",
	token.InfinityType:   "not a finite number",
}

// checkTokens refuses what has no place in a card, a second document, and nesting.
func checkTokens(tokens token.Tokens) error {
	flow := 0        // brackets and braces open
	var blocks []int // columns of the groups and lists open by their indents
	for i, t := range tokens {
		at := func(why string) error { return fmt.Errorf("line %d: %s", t.Position.Line, why) }
		if why, ok := refused[t.Type]; ok {
			return at(why)
		}
		column := 0
		switch t.Type {
		case token.DocumentHeaderType, token.DocumentEndType:
			if i > 0 && i < len(tokens)-1 || i > 0 && t.Type == token.DocumentHeaderType {
				return at("a second document; a card is one")
			}
		case token.SequenceStartType, token.MappingStartType:
			flow++
		case token.SequenceEndType, token.MappingEndType:
			flow--
		case token.SequenceEntryType:
			column = t.Position.Column
		case token.MappingValueType:
			if i > 0 {
				column = tokens[i-1].Position.Column
			}
		}
		if column > 0 && flow <= 0 {
			for len(blocks) > 0 && blocks[len(blocks)-1] >= column {
				blocks = blocks[:len(blocks)-1]
			}
			blocks = append(blocks, column)
		}
		if flow+len(blocks) > maxDepth {
			return at(fmt.Sprintf("more than %d groups and lists in each other", maxDepth))
		}
	}
	if len(tokens) > maxTokens {
		return fmt.Errorf("more than %d words, numbers and signs", maxTokens)
	}
	return nil
}

// plainError is what the parser says, in one line. Its own text shows the place by
// printing what stands around it, which takes far longer than the parsing.
func plainError(err error) error {
	var e yaml.Error
	if !errors.As(err, &e) || e.GetToken() == nil {
		return errors.New("not readable as YAML or JSON")
	}
	why := strings.Join(strings.Fields(e.GetMessage()), " ")
	if r := []rune(why); len(r) > maxReason {
		why = string(r[:maxReason]) + "…"
	}
	return fmt.Errorf("line %d: %s", e.GetToken().Position.Line, why)
}
