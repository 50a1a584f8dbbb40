package report

import (
	"cmp"
	"encoding/base64"
	"html/template"
	"net/url"
	"strings"
)

// player is a video with its buttons.
type player struct {
	Video
	Src, Captions, Poster template.URL
	FPS                   float64
	Jumps                 []jumpGroup
}

// jumpGroup are the buttons of one swing.
type jumpGroup struct {
	Title string // empty for the only swing
	Jumps []jump
}

type jump struct {
	Name  string
	Frame int
}

func newPlayer(p Page) *player {
	out := &player{Video: p.Video, Src: fileURL(p.Video.File), FPS: p.Video.FPS}
	out.Captions = captionsURL(vtt("", p.Video.FPS, Cues(p.Result, p.Video, p.Swings)))
	for i, s := range p.Swings {
		if len(s.Marks) == 0 {
			continue
		}
		for _, still := range s.Stills {
			if still.Name == "contact" && out.Poster == "" {
				out.Poster = fileURL(still.File)
			}
		}
		title := ""
		if len(p.Swings) > 1 {
			title = swingTitle(i, len(p.Swings))
		}
		out.Jumps = append(out.Jumps, jumpGroup{title, jumps(s.Marks)})
	}
	return out
}

func jumps(marks []Mark) []jump {
	var out []jump
	for _, m := range marks {
		out = append(out, jump{cmp.Or(words[m.Name], m.Name), m.Frame})
	}
	return out
}

// captionsURL holds captions in the page itself: a browser refuses a page from disk
// any file of captions beside it.
func captionsURL(text string) template.URL {
	return template.URL("data:text/vtt;base64," + base64.StdEncoding.EncodeToString([]byte(text)))
}

// fileURL names a file beside the page, whatever its name holds.
func fileURL(name string) template.URL {
	if name == "" {
		return ""
	}
	parts := strings.Split(name, "/")
	for i, p := range parts {
		parts[i] = url.PathEscape(p)
	}
	return template.URL("./" + strings.Join(parts, "/"))
}
