package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/svg"
)

// Cue is one caption: it stands while the video shows frames From to To.
type Cue struct {
	From, To int // half-open
	Text     string
}

// How long the caption of an instant stays, s, unless the next one comes first.
const cueS = 1.5

// Cues are the captions of a video: the key positions and the run in the zone.
func Cues(r metrics.Result, v Video, swings []Swing) []Cue {
	var out []Cue
	for i, s := range swings {
		if i >= len(r.Swings) {
			break
		}
		for k, m := range s.Marks {
			c := Cue{From: m.Frame, To: m.Until, Text: cueText(r.Swings[i], m)}
			if m.Name != "zone" {
				c.To = min(m.Frame+int(cueS*v.FPS), v.Frames)
				for _, next := range s.Marks[k+1:] {
					if next.Name != "zone" && next.Frame > m.Frame {
						c.To = min(c.To, next.Frame)
						break
					}
				}
			}
			if c.To = max(c.To, c.From+1); c.Text != "" {
				out = append(out, c)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Cue) int { return a.From - b.From })
	return out
}

func cueText(sw metrics.Swing, m Mark) string {
	var parts []string
	add := func(key string, v metrics.Value) {
		if v.Known() {
			s := show(v)
			text := s.Value
			if s.Beside != "" && key == "cueSpeed" {
				text += " (" + s.Beside + ")"
			}
			if v.Status == metrics.Assumed {
				text = fmt.Sprintf(words["cueAbout"], text)
			}
			parts = append(parts, fmt.Sprintf(words[key], text))
		}
	}
	switch m.Name {
	case "contact":
		parts = append(parts, words["cueContact"])
		if sw.Keys.Contact.Status == metrics.Assumed {
			parts = append(parts, words["assumed"])
		}
		add("cueAttack", sw.Metrics[catalogue.PlaneAttackDeg])
		add("cueDescent", sw.Metrics[catalogue.PitchDescentDeg])
		add("cueSpeed", sw.Metrics[catalogue.SpeedBarrelContactMPS])
	case "zone":
		add("cueZone", sw.Metrics[catalogue.ZoneDurationS])
		add("cueLength", sw.Metrics[catalogue.ZoneLengthM])
	default:
		parts = append(parts, fmt.Sprintf(words["cueKey"], words[m.Name], fromContact(m.TimeS)))
	}
	return strings.Join(parts, ", ")
}

// WriteCaptions writes WebVTT for a video of fps frames a second.
func WriteCaptions(w io.Writer, title string, fps float64, cues []Cue) error {
	_, err := io.WriteString(w, vtt(title, fps, cues))
	return err
}

func vtt(title string, fps float64, cues []Cue) string {
	var b strings.Builder
	b.WriteString(strings.TrimSpace("WEBVTT " + vttLine(title)))
	b.WriteString("\n")
	for _, c := range cues {
		fmt.Fprintf(&b, "\n%s --> %s\n%s\n", vttTime(float64(c.From)/fps), vttTime(float64(c.To)/fps), vttLine(c.Text))
	}
	return b.String()
}

// vttTime is a time of WebVTT, to its thousandth.
func vttTime(s float64) string {
	n := int(math.Round(1000 * s))
	return fmt.Sprintf("%02d:%02d:%02d.%03d", n/3600000, n/60000%60, n/1000%60, n%1000)
}

// vttLine is a text that ends no cue and opens no tag: one line, its brackets and
// ampersands as WebVTT spells them, so that no arrow is left either.
func vttLine(text string) string {
	text = strings.Join(strings.Fields(svg.Plain(text)), " ")
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(text)
}
