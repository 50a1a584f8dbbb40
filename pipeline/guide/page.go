package guide

import (
	"fmt"
	"strings"

	"ashline/metrics/catalogue"
)

const intro = `<!-- Written by pipeline/guide from metrics/catalogue; change the texts there and run: go test ./pipeline/guide -update -->
# Every number of metrics.json, in plain words

For coaches, and for hitters who want to know what the numbers mean. No number here is good or bad by itself: it describes one
swing at one pitch. Watch it together with the video, and compare a hitter with their own earlier swings.

**Cautions.** A coaching aid, not medical advice: stop on pain and see a licensed clinician. Keep the swing space clear; helmets
on; people behind screens and nets, the person with the camera too, and never in the hitting line. Bands on the barrel are for
practice: many rule sets forbid foreign substances on a bat in games, so take them off. Follow your facility's and league's rules.

## How to read a value

Every metric is ` + "`{value, unit, low, high, status, why}`" + `.

- **value** and **unit**: the number. Lengths are metres (0.10 m is about 4 in), times seconds (0.010 s is 10 ms), speeds metres a
  second (10 m/s is about 22 mph), angles degrees.
- **low** and **high**: the 95 % interval. The true number lies between them about 19 times in 20. Two swings whose intervals overlap
  widely may not differ at all.
- **status**: ` + "`measured`" + ` was seen in the clip. ` + "`assumed`" + ` rests on a guess or on the card. ` + "`missing`" + ` is not known; value, low and high are
  then empty.
- **why**: the reason when something is missing or assumed, or a remark.

When the barrel's band was seen too rarely, the whole swing is missing and says so; this is not said again below.

## Where and when

`

const frames = `Everything is seen from the side, in the **plane of the pitch**: x runs level towards the pitcher, z upwards, both from the barrel at
contact; time is 0 at contact. "Barrel" means the middle of the bat at the barrel's coloured band. "Ahead" is towards the pitcher,
"behind" towards the catcher, for right- and left-handed hitters alike. What is measured on the body is measured in the picture
itself. In the figures the barrel is blue while it is in the zone and orange-red before and after.

`

const keysLead = "Five instants that every swing is cut into. Each has a time `t_s` in seconds from contact, a `frame` (frames counted from 0, " +
	"with a fraction, because a key position seldom falls exactly on a frame), a `confidence` from 0 to 1, and `status` and `why` like any metric."

const lineEntry = "### Where the line comes from: `pitch.line`\n\n" +
	"`tracked`: the ball seen in the clip. `drawn`: two points on the card. `flight`: computed from the card's pitch speed and release. `none`: there is no line.\n\n" +
	"- Unit: none. A word, no number.\n- Missing or assumed: `none` when no ball was followed in and the card states no line.\n" +
	"- Computed: The card's choice; without one, the tracked ball.\n\n"

// shownIn are the drawings of a group of metrics, and of the key positions.
var shownIn = map[string][]string{
	"keys": {"keys.svg"}, "plane": {"attack.svg", "offset.svg"}, "zone": {"zone.svg"}, "timing": {"timing.svg"},
	"body": {"slot.svg", "arm.svg", "hands.svg"}, "finish": {"finish.svg"},
}

// Page is the text of metrics/README.md.
func Page() []byte {
	var b strings.Builder
	b.WriteString(intro)
	alt := map[string]string{}
	for _, f := range Drawings() {
		alt[f.File] = f.Alt
	}
	show := func(file string) { fmt.Fprintf(&b, "![%s](figures/%s)\n\n", alt[file], file) }
	section := func(path, title, lead string) {
		fmt.Fprintf(&b, "## %s\n\n%s\n\n", title, lead)
		for _, file := range shownIn[path] {
			show(file)
		}
	}
	show("frame.svg")
	b.WriteString(frames)
	section("keys", "Key positions", keysLead)
	for k := range catalogue.NumKeys {
		row := k.Row()
		when := lacks(row.Needs, row.Never)
		if k == catalogue.Contact {
			when = contactLacks
		}
		entry(&b, "keys."+row.Path, "s", row.Words, when)
	}
	for _, g := range catalogue.Groups {
		section(g.Path, g.Title, g.Lead)
		if g.Path == "pitch" {
			b.WriteString(lineEntry)
		}
		for m := range catalogue.NumMetrics {
			if row := m.Row(); m.Group() == g {
				entry(&b, row.Path, row.Unit, row.Words, lacks(row.Needs, row.Never))
			}
		}
	}
	for _, g := range factGroups {
		fmt.Fprintf(&b, "## %s\n\n", g.title)
		if g.lead != "" {
			fmt.Fprintf(&b, "%s\n\n", g.lead)
		}
		b.WriteString("| field | means |\n|---|---|\n")
		for _, f := range g.facts {
			fmt.Fprintf(&b, "| `%s` | %s |\n", f.path, f.means)
		}
		b.WriteString("\n")
	}
	return []byte(strings.TrimRight(b.String(), "\n") + "\n")
}

// units are the words for what metrics.json writes.
var units = map[string]string{
	"1":   "none, a ratio",
	"deg": "degrees",
	"m":   "metres",
	"m/s": "metres a second",
	"s":   "seconds",
}

// entry explains one metric or key position.
func entry(b *strings.Builder, path, unit string, w catalogue.Words, when string) {
	fmt.Fprintf(b, "### %s: `%s`\n\n%s\n\n", w.Name, path, w.Plain)
	fmt.Fprintf(b, "- Unit: %s. %s\n- Missing or assumed: %s\n- Computed: %s\n\n", units[unit], w.Frame, when, w.How)
}
