package rules

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"ashline/metrics/finding"

	"github.com/goccy/go-yaml"
)

//go:embed rules.yaml
var builtInRules []byte

//go:embed words.yaml
var builtInWords []byte

// ErrBad marks a rule set or words that cannot be used: unreadable, unknown key or name,
// wrong type. Normal for files changed by hand; the text names file and field.
var ErrBad = errors.New("rules")

// MaxBytes bounds the size of a file; the built-in ones take a fifth of it. The YAML
// reader takes a time that grows with the square of deeply nested text.
const MaxBytes = 64 << 10

// Source is one file's text and the name errors call it by.
type Source struct {
	Name string
	Text []byte
}

// Load reads an academy's own rules and words. An empty path is the built-in one.
func Load(rulesPath, wordsPath string) (finding.Set, error) {
	own, err := sources(rulesPath, wordsPath)
	if err != nil {
		return finding.Set{}, err
	}
	return Parse(own[0], own[1])
}

// Mark names the rules and words in a few letters, the same for the same texts; empty
// for the built-in ones, which change with the program alone.
func Mark(rulesPath, wordsPath string) (string, error) {
	if rulesPath == "" && wordsPath == "" {
		return "", nil
	}
	own, err := sources(rulesPath, wordsPath)
	if err != nil {
		return "", err
	}
	h := sha256.New()
	for _, s := range own {
		fmt.Fprintf(h, "%d\n", len(s.Text))
		h.Write(s.Text)
	}
	return hex.EncodeToString(h.Sum(nil))[:12], nil
}

// sources are the texts of rules and words; an empty one stands for the built-in.
func sources(rulesPath, wordsPath string) (own [2]Source, err error) {
	for i, p := range []string{rulesPath, wordsPath} {
		if p == "" {
			continue
		}
		if own[i], err = read(p); err != nil {
			return own, err
		}
	}
	return own, nil
}

func read(path string) (Source, error) {
	bad := func(err error) error {
		var p *fs.PathError
		if errors.As(err, &p) {
			err = p.Err
		}
		// As text: a missing rule set is not a missing clip.
		return fmt.Errorf("%w %q: %s", ErrBad, path, err.Error())
	}
	st, err := os.Stat(path)
	if err != nil {
		return Source{}, bad(err)
	}
	if !st.Mode().IsRegular() {
		return Source{}, bad(errors.New("it is not a file"))
	}
	f, err := os.Open(path)
	if err != nil {
		return Source{}, bad(err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, MaxBytes+1))
	if err != nil {
		return Source{}, bad(err)
	}
	return Source{path, text}, nil
}

// Parse reads rules and words; a source without a text stands for the built-in one.
func Parse(rules, words Source) (finding.Set, error) {
	var set finding.Set
	if len(rules.Text) == 0 && rules.Name == "" {
		rules = Source{"rules.yaml", builtInRules}
	}
	if err := decode(rules, &set); err != nil {
		return finding.Set{}, err
	}
	if len(set.Rules) == 0 {
		return finding.Set{}, fmt.Errorf("%w %q: no rules in it", ErrBad, rules.Name)
	}
	if err := decode(Source{"words.yaml", builtInWords}, &set.Words); err != nil {
		return finding.Set{}, err
	}
	name := rules.Name
	if len(words.Text) > 0 || words.Name != "" {
		// The later text wins, sentence by sentence: maps and fields are merged.
		if err := decode(words, &set.Words); err != nil {
			return finding.Set{}, err
		}
		name += ", " + words.Name
	}
	if err := set.Check(); err != nil {
		return finding.Set{}, fmt.Errorf("%w %q: %w", ErrBad, name, err)
	}
	return set, nil
}

// decode reads one text over what is in to, key by key.
func decode(s Source, to any) error {
	fail := func(err error) error { return fmt.Errorf("%w %q: %w", ErrBad, s.Name, err) }
	tree, err := parse(s.Text)
	if err != nil {
		return fail(err)
	}
	if err := check(tree, to); err != nil {
		return fail(err)
	}
	text, err := json.Marshal(tree)
	if err != nil {
		return fail(errors.New(firstLine(err)))
	}
	if err := json.Unmarshal(text, to); err != nil {
		var te *json.UnmarshalTypeError
		if errors.As(err, &te) {
			return fail(fmt.Errorf("%s: a %s does not fit here", te.Field, te.Value))
		}
		return fail(errors.New(firstLine(err)))
	}
	return nil
}

// parse turns a panic of the parser on malformed text into an error: the file is a
// stranger's.
func parse(text []byte) (tree map[string]any, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = errors.New("not readable as YAML or JSON")
		}
	}()
	if len(text) > MaxBytes {
		return nil, fmt.Errorf("more than %d bytes", MaxBytes)
	}
	if err := plainText(string(text)); err != nil {
		return nil, err
	}
	if err := yaml.Unmarshal(text, &tree); err != nil {
		return nil, errors.New(firstLine(err))
	}
	if len(tree) == 0 {
		return nil, errors.New("nothing in it")
	}
	return tree, nil
}

func firstLine(err error) string {
	s, _, _ := strings.Cut(strings.TrimSpace(err.Error()), "\n")
	return s
}
