package report_test

import (
	"crypto/sha256"
	"encoding/base64"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/report"
)

// nodes are all elements of a page, in order.
func nodes(t *testing.T, page string) []*html.Node {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var out []*html.Node
	for n := range root.Descendants() {
		if n.Type == html.ElementNode {
			out = append(out, n)
		}
	}
	return out
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func text(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	var b strings.Builder
	for c := range n.ChildNodes() {
		b.WriteString(text(c))
	}
	return b.String()
}

// pages are all kinds of page by name.
func pages(t *testing.T) map[string]string {
	t.Helper()
	whole := report.Page{Result: result(invented()), Swings: []report.Swing{marked()}, Video: video}
	two := whole
	two.Result, two.Swings, two.Video.Frames = result(invented(), metrics.Swing{Index: 1}), []report.Swing{marked(), {}}, 100
	rudePage := report.Page{Result: rudeResult(), Swings: []report.Swing{marked()}, Video: video}
	rudePage.Swings[0].Stills[0].File, rudePage.Swings[0].Marks[0].Name, rudePage.Video.File = rude, rude, rude
	return map[string]string{
		"whole":        written(t, whole),
		"no video":     written(t, report.Page{Result: result(invented()), Swings: []report.Swing{{Path: planePath(2)}}}),
		"two swings":   written(t, two),
		"no swing":     written(t, report.Page{Result: result()}),
		"nothing":      written(t, report.Page{}),
		"fewer":        written(t, report.Page{Result: result(invented(), invented())}),
		"rude":         written(t, rudePage),
		"compare":      compared(t, comparison()),
		"rude compare": compared(t, rudeComparison()),
		"no compare":   compared(t, report.Comparison{}),
	}
}

// A page opens by itself: what it loads lies beside it, its policy names its script
// and style, and nothing that a text brings is an element, an attribute or a style.
func TestPagesHoldTheirOwnAlone(t *testing.T) {
	t.Parallel()
	for name, page := range pages(t) {
		var policy string
		scripts := 0
		for _, n := range nodes(t, page) {
			switch n.Data {
			case "iframe", "object", "embed", "form", "input", "base", "link", "a", "foreignobject", "use", "image":
				t.Errorf("%s holds a %s", name, n.Data)
			case "script", "style":
				sum := sha256.Sum256([]byte(text(n)))
				if want := n.Data + "-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; !strings.Contains(policy, want) {
					t.Errorf("%s: the policy %q does not name the %s", name, policy, n.Data)
				}
				scripts++
			case "meta":
				if attr(n, "http-equiv") == "Content-Security-Policy" {
					policy = attr(n, "content")
				}
			}
			for _, a := range n.Attr {
				if strings.HasPrefix(a.Key, "on") || a.Key == "style" {
					t.Errorf("%s: %s has %s=%q", name, n.Data, a.Key, a.Val)
				}
				if a.Key == "src" || a.Key == "href" || a.Key == "poster" {
					captions := n.Data == "track" && strings.HasPrefix(a.Val, "data:text/vtt;base64,")
					if !captions && !strings.HasPrefix(a.Val, "./") {
						t.Errorf("%s: %s loads %.80q", name, n.Data, a.Val)
					}
					if strings.ContainsAny(a.Val, "?#<>\"' ") {
						t.Errorf("%s: %s has the address %.80q", name, n.Data, a.Val)
					}
				}
			}
		}
		if scripts != 2 || !strings.HasPrefix(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") {
			t.Errorf("%s: %d scripts and styles, policy %q", name, scripts, policy)
		}
	}
}

// Whatever text comes from outside stands in a bdi of its own or is stripped of what
// turns the direction of writing.
func TestDirectionOfWritingStaysInside(t *testing.T) {
	t.Parallel()
	for name, page := range pages(t) {
		found := 0
		for _, n := range nodes(t, page) {
			for c := range n.ChildNodes() {
				if c.Type != html.TextNode || !strings.ContainsAny(c.Data, "\u202e\u2066") {
					continue
				}
				if found++; n.Data != "bdi" {
					t.Errorf("%s: %s holds %.60q", name, n.Data, c.Data)
				}
			}
			for _, a := range n.Attr {
				if strings.ContainsAny(a.Val, "\u202e\u2066") {
					t.Errorf("%s: %s has %s=%.60q", name, n.Data, a.Key, a.Val)
				}
			}
		}
		if strings.HasPrefix(name, "rude") && found < 5 {
			t.Errorf("%s: the rude text stands on the page %d times", name, found)
		}
	}
}

func TestPagesCanBeReadAloud(t *testing.T) {
	t.Parallel()
	for name, page := range pages(t) {
		level, ids := 0, map[string]bool{}
		all := nodes(t, page)
		for _, n := range all {
			if id := attr(n, "id"); id != "" {
				if ids[id] {
					t.Errorf("%s: two elements are %q", name, id)
				}
				ids[id] = true
			}
		}
		for _, n := range all {
			switch n.Data {
			case "html":
				if attr(n, "lang") != "en" {
					t.Errorf("%s: lang %q", name, attr(n, "lang"))
				}
			case "h1", "h2", "h3", "h4":
				now := int(n.Data[1] - '0')
				if now > level+1 || level == 0 && now != 1 || strings.TrimSpace(text(n)) == "" {
					t.Errorf("%s: heading %q of level %d after one of %d", name, text(n), now, level)
				}
				level = now
			case "img":
				if attr(n, "alt") == "" {
					t.Errorf("%s: a picture has no text", name)
				}
			case "button":
				if strings.TrimSpace(text(n))+attr(n, "aria-label") == "" {
					t.Errorf("%s: a button has no text", name)
				}
			case "title":
				if strings.TrimSpace(text(n)) == "" {
					t.Errorf("%s: an empty title", name)
				}
			}
			if by := attr(n, "aria-labelledby"); by != "" && !ids[by] {
				t.Errorf("%s: nothing is %q", name, by)
			}
		}
		if strings.Contains(page, "NaN") || strings.Contains(page, "%!") || strings.Contains(page, "ZgotmplZ") {
			t.Errorf("%s holds NaN, a broken format or a refused address", name)
		}
	}
}

// section is the text of a page with its white space evened out.
func plain(t *testing.T, page string) string {
	t.Helper()
	root, err := html.Parse(strings.NewReader(regexp.MustCompile(`(?s)<(script|style)>.*?</(script|style)>`).ReplaceAllString(page, "")))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for n := range root.Descendants() {
		if n.Type == html.TextNode {
			b.WriteString(n.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func TestPageSaysWhatWasMeasured(t *testing.T) {
	t.Parallel()
	all := pages(t)
	for _, c := range []struct{ page, want string }{
		{"whole", "fh-017"},
		{"whole", "pitching machine"},
		{"whole", "stop on pain and see a licensed clinician"},
		{"whole", "never in the hitting line"},
		{"whole", "Bands on the barrel are for practice"},
		{"whole", "Time in the zone 20.0 ms 19.0 to 21.0 ms"},
		{"whole", "Length of the zone 55.0 cm 21.7 in 53.0 to 57.0 cm assumed"},
		{"whole", "Attack angle 9.7° 8.6 to 10.8°"},
		{"whole", "Barrel speed at contact 31.0 m/s 69.3 mph"},
		{"whole", "1.32 m 4.3 ft"},
		{"whole", "−0.4 cm −0.2 in"},
		{"whole", "Launch 150 ms before contact"},
		{"whole", "missing no hands' mark on the card"},
		{"whole", "What could not be measured the lead elbow was hidden at slot Slot"},
		{"whole", "no hands' mark on the card Peak hand speed"},
		{"whole", "On the line of the pitch good The barrel is on the line for 20 ms. Rests on: Time in the zone 20.1 ms (19.1 to 21.2 ms) ; Gap ; of no metric ; zone.enter_s x s [1, 2] ; zone.none 1 s [1, 2]"},
		{"whole", "of no metric"},
		{"whole", "It comes on late. Hands The barrel trails late. To work on next Come onto the line earlier."},
		{"two swings", "Swing 1: Hands The barrel trails late."},
		{"whole", "1280 × 720 px, 240 frames a second, 300 frames"},
		{"whole", "0123456789abcdef0123456789abcdef"},
		{"no video", "No video was made for this page."},
		{"two swings", "Swing 2 of 2"},
		{"no swing", "No swing was found in this clip."},
		{"compare", "before → after"},
		{"compare", "Attack angle 3.8° 9.8° +6.0° 4.7 to 7.3° these two swings differ; nothing is known of the habit"},
		{"compare", "20.8 ms 3 of 4 swings, assumed 31.0 ms +10.2 ms 8.2 to 12.2 ms real (assumed)"},
		{"compare", "The barrel now rises 6° more"},
		{"compare", "both sides: no pose network"},
		{"compare", "stop on pain and see a licensed clinician"},
		{"no compare", "None of the numbers is known on both sides."},
		{"rude", "<script>document.title=1</script>"},
	} {
		if got := plain(t, all[c.page]); !strings.Contains(got, c.want) {
			i := max(0, strings.Index(got, c.want[:min(len(c.want), 12)]))
			t.Errorf("%s does not say %q but %q", c.page, c.want, got[i:min(len(got), i+len(c.want)+60)])
		}
	}
	if strings.Contains(all["no video"], "<video") || strings.Contains(all["no video"], "data-frame=") {
		t.Error("a page without video has a player")
	}
}

// Every metric stands in the table of the page once.
func TestTableIsWhole(t *testing.T) {
	t.Parallel()
	rows := 0
	for _, n := range nodes(t, pages(t)["whole"]) {
		if n.Data == "th" && attr(n, "scope") == "row" {
			rows++
		}
	}
	if want := int(catalogue.NumMetrics); rows != want {
		t.Errorf("%d rows, want %d", rows, want)
	}
}

// The buttons of the page and the captions name the same frames.
func TestJumpsAndCaptionsAgree(t *testing.T) {
	t.Parallel()
	page := pages(t)["whole"]
	var frames []int
	var captions string
	for _, n := range nodes(t, page) {
		if at := attr(n, "data-frame"); at != "" {
			f, err := strconv.Atoi(at)
			if err != nil {
				t.Fatal(err)
			}
			frames = append(frames, f)
		}
		if n.Data == "track" {
			raw, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(attr(n, "src"), "data:text/vtt;base64,"))
			if err != nil {
				t.Fatal(err)
			}
			captions = string(raw)
		}
	}
	if want := []int{8, 30, 38, 42, 80}; !slices.Equal(frames, want) {
		t.Errorf("jumps to %v, want %v", frames, want)
	}
	for _, want := range []string{"00:00:00.267 --> 00:00:01.000\nLaunch", "00:00:01.267 --> 00:00:01.833\nIn the zone for 20.0 ms, about 55.0 cm along the pitch line\n", "00:00:01.400 --> 00:00:02.667\nContact", "00:00:02.667 --> 00:00:03.333\nFinish"} {
		if !strings.Contains(captions, want) {
			t.Errorf("captions lack %q:\n%s", want, captions)
		}
	}
}

// Pages for the browser checks, and a check that a page can be written at all: rude
// texts with no video, and a comparison.
func TestMadeUpPages(t *testing.T) {
	t.Parallel()
	dir := os.Getenv("ASHLINE_PAGES")
	if dir == "" {
		dir = t.TempDir()
	}
	c := comparison()
	c.Before.Stills = nil
	if _, err := os.Stat(filepath.Join(dir, c.Video.File)); err != nil {
		c.Video = report.Video{}
	} else {
		c.Video.Width, c.Video.Height, c.Video.Frames = 640, 360, frames(t, dir)
	}
	for name, page := range map[string]string{
		"rude.html":    written(t, report.Page{Result: rudeResult(), Swings: []report.Swing{{Path: planePath(2)}}}),
		"compare.html": compared(t, c),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// frames is how many frames the video beside the made-up pages has, from the page it
// was taken from.
func frames(t *testing.T, dir string) int {
	t.Helper()
	n, err := strconv.Atoi(os.Getenv("ASHLINE_FRAMES"))
	if err != nil {
		t.Fatalf("%s holds a video; ASHLINE_FRAMES says how many frames it has: %v", dir, err)
	}
	return n
}
