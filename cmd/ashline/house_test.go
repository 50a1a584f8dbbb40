package main_test

import (
	"bytes"
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// root is the repository, seen from this package's folder.
const root = "../.."

const (
	maxFileBytes   = 1 << 20 // a clone stays small; larger clips are rendered, not kept
	maxGoFileLines = 600     // a longer file holds more than one main type
)

// topLevel lists everything that may stand at the top of the repository.
var topLevel = []string{
	".ci", ".dockerignore", ".gitattributes", ".gitignore", ".golangci.yml", "DEVELOPERS.md", "LICENSE", "README.md",
	"cmd", "deploy", "go.mod", "go.sum", "metrics", "pipeline", "testdata", "worker",
}

// repoFiles returns every file of the repository, relative and with slashes,
// without those that .gitignore names. It needs no git.
func repoFiles(t *testing.T) []string {
	t.Helper()
	ignore, err := os.ReadFile(filepath.Join(root, ".gitignore"))
	if err != nil {
		t.Fatal(err)
	}
	patterns := strings.Fields(regexp.MustCompile(`(?m)^#.*$`).ReplaceAllString(string(ignore), ""))
	var files []string
	err = filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, p)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		switch {
		case name == ".":
		case name == ".git" || ignored(name, patterns):
			if d.IsDir() {
				return fs.SkipDir
			}
		case !d.IsDir():
			files = append(files, name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// ignored knows the two forms of pattern in use: anchored by a leading slash,
// or a base name anywhere.
func ignored(name string, patterns []string) bool {
	return slices.ContainsFunc(patterns, func(pattern string) bool {
		subject := path.Base(name)
		if anchored, ok := strings.CutPrefix(pattern, "/"); ok {
			pattern, subject = anchored, name
		}
		ok, err := path.Match(strings.TrimSuffix(pattern, "/"), subject)
		return ok && err == nil
	})
}

func readFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(root, name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// fileFaults returns what is wrong with a file's place and size.
func fileFaults(name string, data []byte) []string {
	var faults []string
	if top, _, _ := strings.Cut(name, "/"); !slices.Contains(topLevel, top) {
		faults = append(faults, fmt.Sprintf("%s: %q has no place at the top level", name, top))
	}
	if len(data) > maxFileBytes {
		faults = append(faults, fmt.Sprintf("%s: %d bytes, more than %d", name, len(data), maxFileBytes))
	}
	if lines := bytes.Count(data, []byte("\n")); strings.HasSuffix(name, ".go") && lines > maxGoFileLines {
		faults = append(faults, fmt.Sprintf("%s: %d lines, more than %d", name, lines, maxGoFileLines))
	}
	return faults
}

// The names are put together here so that this file does not match itself.
var (
	homePath = regexp.MustCompile(`(^|[\s"'=(:,` + "`" + `])/(root|home|work|Users|tmp)` + `/[\w.-]`)
	dlHost   = regexp.MustCompile(strings.Join([]string{`proxy\.golang`, `sum\.golang`, `deb\.debian`, `registry\.npm`, `files\.python`}, "|"))
)

// textFaults returns the lines that name a place of one machine, or a host to
// download from: which mirror to use is the machine's own setting.
func textFaults(name string, data []byte) []string {
	if bytes.IndexByte(data, 0) >= 0 || name == "go.sum" {
		return nil
	}
	var faults []string
	for i, line := range strings.Split(string(data), "\n") {
		for _, re := range []*regexp.Regexp{homePath, dlHost} {
			if m := re.FindString(line); m != "" {
				faults = append(faults, fmt.Sprintf("%s:%d names %q", name, i+1, m))
			}
		}
	}
	return faults
}

func TestHouseFiles(t *testing.T) {
	t.Parallel()
	for _, name := range repoFiles(t) {
		data := readFile(t, name)
		for _, fault := range append(fileFaults(name, data), textFaults(name, data)...) {
			t.Error(fault)
		}
	}
}

func TestHouseFilesAreEnforced(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, file, text string
		want             int // faults
	}{
		{"in place", "cmd/ashline/main.go", "package main\n", 0},
		{"stray folder", "util/strings.go", "package util\n", 1},
		{"stray file", "notes.txt", "\n", 1},
		{"large", "testdata/clip.mp4", strings.Repeat("x", maxFileBytes+1), 1},
		{"long", "metrics/long.go", strings.Repeat("\n", maxGoFileLines+1), 1},
		{"long but no code", "testdata/long.csv", strings.Repeat("\n", maxGoFileLines+1), 0},
		{"machine path", "README.md", "see /" + "home/someone/clips", 1},
		{"service path", "deploy/ashline.service", "StateDirectory=/var/lib/ashline", 0},
		{"download host", "deploy/setup.sh", "GOPROXY=https://proxy" + ".golang.org", 1},
		{"binary", "testdata/clip.mp4", "\x00 /" + "home/someone", 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			data := []byte(tt.text)
			faults := append(fileFaults(tt.file, data), textFaults(tt.file, data)...)
			if len(faults) != tt.want {
				t.Errorf("got %q, want %d", faults, tt.want)
			}
		})
	}
}

// TestHousePackageComments wants a doc.go with the package comment in every
// package that is more than tests.
func TestHousePackageComments(t *testing.T) {
	t.Parallel()
	files := repoFiles(t)
	packages := map[string]bool{}
	for _, name := range files {
		if strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") && !strings.Contains(name, "testdata/") {
			packages[path.Dir(name)] = true
		}
	}
	if len(packages) == 0 {
		t.Fatal("found no package at all")
	}
	for dir := range packages {
		name := path.Join(dir, "doc.go")
		if !slices.Contains(files, name) {
			t.Errorf("%s has no doc.go", dir)
			continue
		}
		if fault := commentFault(name, readFile(t, name)); fault != "" {
			t.Error(fault)
		}
	}
}

// commentFault returns what is wrong with the package comment of a doc.go.
func commentFault(name string, source []byte) string {
	f, err := parser.ParseFile(token.NewFileSet(), name, source, parser.PackageClauseOnly|parser.ParseComments)
	if err != nil {
		return err.Error()
	}
	start := "Package " + f.Name.Name + " "
	if f.Name.Name == "main" {
		start = "Command " + path.Base(path.Dir(name)) + " "
	}
	if !strings.HasPrefix(f.Doc.Text(), start) {
		return fmt.Sprintf("%s: the package comment does not start with %q", name, start)
	}
	return ""
}

func TestHousePackageCommentsAreEnforced(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, file, source string
		want               bool // a fault
	}{
		{"library", "metrics/fit/doc.go", "// Package fit fits.\npackage fit\n", false},
		{"command", "cmd/ashline/doc.go", "// Command ashline measures.\npackage main\n", false},
		{"no comment", "metrics/fit/doc.go", "package fit\n", true},
		{"comment set apart", "metrics/fit/doc.go", "// Package fit fits.\n\npackage fit\n", true},
		{"other name", "metrics/fit/doc.go", "// Package zone fits.\npackage fit\n", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			fault := commentFault(tt.file, []byte(tt.source))
			if got := fault != ""; got != tt.want {
				t.Errorf("got %q, want any: %v", fault, tt.want)
			}
		})
	}
}

var (
	fenced    = regexp.MustCompile("(?s)```.*?```|`[^`\n]*`")
	link      = regexp.MustCompile(`\]\(([^)\s]+)[^)]*\)|(?:src|href)="([^"]+)"`)
	heading   = regexp.MustCompile(`(?m)^#+ +(.*?) *$`)
	elsewhere = regexp.MustCompile(`^[a-z]+:`)
)

// anchors returns the fragment of each heading, as a forge makes them.
func anchors(text string) []string {
	var all []string
	for _, m := range heading.FindAllStringSubmatch(text, -1) {
		all = append(all, strings.Map(func(r rune) rune {
			switch {
			case r == ' ':
				return '-'
			case r == '-' || r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r):
				return unicode.ToLower(r)
			}
			return -1
		}, m[1]))
	}
	return all
}

// linkFaults returns the relative links of a page that lead nowhere. read
// gives the text of another file of the repository; a folder has none.
func linkFaults(name, text string, read func(name string) (string, error)) []string {
	var faults []string
	for _, m := range link.FindAllStringSubmatch(fenced.ReplaceAllString(text, ""), -1) {
		target := m[1] + m[2]
		if elsewhere.MatchString(target) {
			continue
		}
		file, fragment, _ := strings.Cut(target, "#")
		page := text
		if file != "" {
			var err error
			if page, err = read(path.Join(path.Dir(name), file)); err != nil {
				faults = append(faults, fmt.Sprintf("%s links to %q: %v", name, target, err))
				continue
			}
		}
		if fragment != "" && strings.HasSuffix(path.Join(name, file), ".md") && !slices.Contains(anchors(fenced.ReplaceAllStringFunc(page, dropBlocks)), fragment) {
			faults = append(faults, fmt.Sprintf("%s links to %q: no such heading", name, target))
		}
	}
	return faults
}

// dropBlocks removes a block of code and keeps the words of inline code, which
// are part of a heading's fragment.
func dropBlocks(code string) string {
	if strings.Contains(code, "```") {
		return ""
	}
	return strings.Trim(code, "`")
}

func TestHouseLinks(t *testing.T) {
	t.Parallel()
	read := func(name string) (string, error) {
		full := filepath.Join(root, name)
		info, err := os.Stat(full)
		if err != nil || info.IsDir() {
			return "", err
		}
		data, err := os.ReadFile(full)
		return string(data), err
	}
	for _, name := range repoFiles(t) {
		if !strings.HasSuffix(name, ".md") {
			continue
		}
		for _, fault := range linkFaults(name, string(readFile(t, name)), read) {
			t.Error(fault)
		}
	}
}

func TestHouseLinksAreEnforced(t *testing.T) {
	t.Parallel()
	pages := map[string]string{
		"README.md":         "# Start here\n",
		"DEVELOPERS.md":     "## The `card` file, in short\n```\n# not a heading\n```\n",
		"deploy/README.md":  "",
		"testdata/page.png": "",
	}
	read := func(name string) (string, error) {
		text, ok := pages[name]
		if !ok {
			return "", fs.ErrNotExist
		}
		return text, nil
	}
	tests := []struct {
		name, file, text string
		want             int // faults
	}{
		{"page", "README.md", "[a](DEVELOPERS.md)", 0},
		{"page from a folder", "deploy/README.md", "[a](../README.md#start-here)", 0},
		{"missing page", "README.md", "[a](docs/no.md)", 1},
		{"picture", "README.md", `<img src="testdata/page.png">`, 0},
		{"missing picture", "README.md", `![a](testdata/no.png "title")`, 1},
		{"heading", "README.md", "[a](DEVELOPERS.md#the-card-file-in-short)", 0},
		{"missing heading", "README.md", "[a](DEVELOPERS.md#not-a-heading)", 1},
		{"own heading", "README.md", "# Hello\n[a](#hello)", 0},
		{"missing own heading", "README.md", "# Hello\n[a](#goodbye)", 1},
		{"outside", "README.md", "[a](https://example.org/x)", 0},
		{"in code", "README.md", "```\n[a](no.md)\n```\n`[a](no.md)`", 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if faults := linkFaults(tt.file, tt.text, read); len(faults) != tt.want {
				t.Errorf("got %q, want %d", faults, tt.want)
			}
		})
	}
}
