package guide

import (
	"fmt"
	"math"

	"ashline/pipeline/svg"
)

// limb draws a bone between two joints.
func limb(c *svg.Canvas, from, to svg.XY) { c.Lines(svg.Pen{Hue: svg.Grey, Width: 5}, from, to) }

func joint(c *svg.Canvas, at svg.XY) {
	c.Circle(at, 7, svg.Pen{Hue: svg.Joint, Width: 3, Fill: svg.Paper})
}

func drawSlot(c *svg.Canvas) {
	s := example
	c.Bold(svg.XY{150, 26}, svg.Middle, "at slot")
	c.Bold(svg.XY{450, 26}, svg.Middle, "at lag")
	c.Lines(svg.Pen{Hue: svg.Grey, Width: 1}, svg.XY{300, 12}, svg.XY{300, 355})
	atSlot(c, s, window{originPx: svg.XY{425, 325}, pxPerM: 400})
	atLag(c, s, window{originPx: svg.XY{632, 325}, pxPerM: 290})
}

func atSlot(c *svg.Canvas, s swing, w window) {
	hip, elbow, hands := w.at(s.hip(slotS)), w.at(s.elbow(slotS)), w.at(s.hands(slotS))
	shoulder := w.at([2]float64{-0.66, 0.56})
	limb(c, shoulder, hip)
	limb(c, shoulder, elbow)
	limb(c, elbow, hands)
	joint(c, hip)
	joint(c, elbow)
	c.Dot(hands, svg.Hands)
	for _, p := range []svg.XY{hip, elbow} {
		c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, p, svg.XY{p[0], 330})
	}
	for _, p := range []svg.XY{hands, elbow} {
		c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, p, svg.XY{p[0], 70})
	}
	c.Span(svg.Pen{Width: 2}, svg.XY{elbow[0], 324}, svg.XY{hip[0], 324})
	c.Span(svg.Pen{Width: 2}, svg.XY{elbow[0], 76}, svg.XY{hands[0], 76})
	c.Bold(svg.XY{(elbow[0] + hip[0]) / 2, 350}, svg.Middle, "elbow to hip")
	c.Bold(svg.XY{(elbow[0] + hands[0]) / 2, 62}, svg.Middle, "hands to elbow")
	c.Text(svg.XY{elbow[0] - 14, elbow[1] + 6}, svg.Right, "back elbow")
	c.Text(svg.XY{hip[0] + 14, hip[1] + 6}, svg.Left, "back hip")
	c.Text(svg.XY{hands[0] + 12, hands[1] + 6}, svg.Left, "hands")
}

func atLag(c *svg.Canvas, s swing, w window) {
	lag := s.lagS()
	barrel, hands := w.at(pos(s)(lag)), w.at(s.hands(lag))
	buckle := w.at([2]float64{-0.56, 0.04})
	head := w.at([2]float64{-0.57, 0.58})
	shoulder := w.at([2]float64{-0.57, 0.50})
	limb(c, shoulder, buckle)
	c.Circle(head, 20, svg.Pen{Hue: svg.Grey, Width: 4})
	c.Lines(svg.Pen{Width: 4}, barrel, hands)
	c.Rect(svg.XY{buckle[0] - 8, buckle[1] - 7}, svg.XY{buckle[0] + 8, buckle[1] + 7}, svg.Pen{Hue: svg.Joint, Width: 3, Fill: svg.Paper})
	c.Dot(hands, svg.Hands)
	c.Dot(barrel, svg.Ink)
	for _, p := range []svg.XY{hands, buckle} {
		c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, p, svg.XY{p[0], 340})
	}
	c.Span(svg.Pen{Width: 2}, svg.XY{buckle[0], 334}, svg.XY{hands[0], 334})
	c.Bold(svg.XY{592, 358}, svg.Right, "hands ahead of buckle: +")
	c.Text(svg.XY{barrel[0] - 8, barrel[1] - 14}, svg.Left, "barrel")
	c.Text(svg.XY{hands[0] + 10, hands[1] - 8}, svg.Left, "hands")
	c.Text(svg.XY{buckle[0] - 14, buckle[1] + 5}, svg.Right, "buckle")
}

func drawArm(c *svg.Canvas) {
	c.Lines(svg.Pen{Hue: svg.Grey, Width: 1}, svg.XY{300, 12}, svg.XY{300, 328})
	c.Bold(svg.XY{150, 26}, svg.Middle, "lead elbow")
	bentArm(c, svg.XY{50, 95}, 110)
	bentArm(c, svg.XY{50, 230}, 160)
	c.Bold(svg.XY{450, 26}, svg.Middle, "head and shoulders")
	drift(c)
}

// bentArm draws shoulder, elbow and wrist with an angle at the elbow.
func bentArm(c *svg.Canvas, shoulder svg.XY, deg float64) {
	const upper, fore, slope = 95, 90, 25
	sin, cos := math.Sincos(rad(slope))
	elbow := svg.XY{shoulder[0] + upper*cos, shoulder[1] + upper*sin}
	// The bone to the shoulder points at 180 − slope, that to the wrist lies deg
	// from it.
	toShoulder := 180 - float64(slope)
	toWrist := toShoulder - deg
	sin, cos = math.Sincos(rad(toWrist))
	wrist := svg.XY{elbow[0] + fore*cos, elbow[1] - fore*sin}
	limb(c, shoulder, elbow)
	limb(c, elbow, wrist)
	c.Arc(svg.Pen{Width: 2}, elbow, 28, toWrist, toShoulder)
	for _, p := range []svg.XY{shoulder, elbow, wrist} {
		joint(c, p)
	}
	sin, cos = math.Sincos(rad((toWrist + toShoulder) / 2))
	c.Bold(svg.XY{elbow[0] + 46*cos, elbow[1] - 46*sin + 2}, svg.Middle, fmt.Sprintf("%.0f°", deg))
	c.Text(svg.XY{shoulder[0] - 8, shoulder[1] - 16}, svg.Left, "shoulder")
	c.Text(svg.XY{elbow[0], elbow[1] + 26}, svg.Middle, "elbow")
	c.Text(svg.XY{wrist[0] + 12, wrist[1] + 6}, svg.Left, "wrist")
}

// drift draws the head at launch and at contact, and the line between the
// shoulders at launch and at slot.
func drift(c *svg.Canvas) {
	before, after := svg.XY{405, 110}, svg.XY{450, 114}
	c.Circle(before, 24, svg.Pen{Hue: svg.Grey, Width: 3, Dash: "5 5"})
	c.Circle(after, 24, svg.Pen{Width: 3})
	c.Text(svg.XY{before[0] - 32, before[1] + 5}, svg.Right, "launch")
	c.Text(svg.XY{after[0] + 32, after[1] + 5}, svg.Left, "contact")
	for _, p := range []svg.XY{before, after} {
		c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, p, svg.XY{p[0], 62})
	}
	c.Span(svg.Pen{Width: 2}, svg.XY{before[0], 68}, svg.XY{after[0], 68})
	c.Bold(svg.XY{(before[0] + after[0]) / 2, 56}, svg.Middle, "head drift")

	back := svg.XY{360, 270}
	at := func(deg float64) svg.XY {
		sin, cos := math.Sincos(rad(deg))
		return svg.XY{back[0] + 130*cos, back[1] - 130*sin}
	}
	launch, slot := at(-8), at(14)
	c.Lines(svg.Pen{Hue: svg.Grey, Width: 4, Dash: "7 7"}, back, launch)
	c.Lines(svg.Pen{Width: 4}, back, slot)
	c.Arc(svg.Pen{Width: 2}, back, 90, -8, 14)
	for _, p := range []svg.XY{back, launch, slot} {
		joint(c, p)
	}
	c.Text(svg.XY{back[0] - 46, back[1] + 26}, svg.Left, "back shoulder")
	c.Text(svg.XY{launch[0] + 14, launch[1] + 6}, svg.Left, "launch")
	c.Text(svg.XY{slot[0] + 14, slot[1] + 6}, svg.Left, "slot")
	c.Bold(svg.XY{430, 210}, svg.Middle, "shoulder line's turn")
}
