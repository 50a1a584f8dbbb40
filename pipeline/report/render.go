package report

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
)

//go:embed page
var files embed.FS

var (
	style  = read("page/page.css")
	script = read("page/page.js")
	pages  = template.Must(template.New("").Option("missingkey=error").Funcs(template.FuncMap{"word": word}).ParseFS(files, "page/*.html"))
)

func read(name string) string {
	text, err := files.ReadFile(name)
	if err != nil {
		panic(err)
	}
	return string(text)
}

// word is a word of the page. A template that asks for one that is not there is a
// mistake in this package.
func word(key string) (string, error) {
	w, ok := words[key]
	if !ok {
		return "", fmt.Errorf("report: no word %q", key)
	}
	return w, nil
}

// head is what every page starts with.
type head struct {
	Title  string
	Policy string
	Style  template.CSS
	Script template.JS
}

func newHead(title string) head {
	return head{Title: title, Policy: policy(), Style: template.CSS(style), Script: template.JS(script)}
}

// policy lets a page load the pictures and the video beside it, run its own script,
// and nothing else (Content Security Policy Level 3, W3C). file: is for a page opened
// from disk, where not every browser counts its neighbours as its own; over HTTP no
// browser loads from there.
func policy() string {
	return fmt.Sprintf("default-src 'none'; img-src 'self' file:; media-src 'self' file: data:; style-src '%s'; script-src '%s'; base-uri 'none'; form-action 'none'", hash(style), hash(script))
}

func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// render writes a page whole or not at all.
func render(w io.Writer, name string, data any) error {
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, name, data); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}
