package page

import (
	"fmt"
	"math"
)

// limb draws a bone between two joints.
func limb(c *canvas, from, to xy) { c.lines(pen{hue: grey, width: 5}, from, to) }

func joint(c *canvas, at xy) { c.circle(at, 7, pen{hue: green, width: 3, fill: paper}) }

func drawSlot(c *canvas) {
	s := example
	c.bold(xy{150, 26}, middle, "at slot")
	c.bold(xy{450, 26}, middle, "at lag")
	c.lines(pen{hue: grey, width: 1}, xy{300, 12}, xy{300, 355})
	atSlot(c, s, window{originPx: xy{425, 325}, pxPerM: 400})
	atLag(c, s, window{originPx: xy{632, 325}, pxPerM: 290})
}

func atSlot(c *canvas, s swing, w window) {
	hip, elbow, hands := w.at(s.hip(slotS)), w.at(s.elbow(slotS)), w.at(s.hands(slotS))
	shoulder := w.at([2]float64{-0.66, 0.56})
	limb(c, shoulder, hip)
	limb(c, shoulder, elbow)
	limb(c, elbow, hands)
	joint(c, hip)
	joint(c, elbow)
	c.dot(hands, handsHue)
	for _, p := range []xy{hip, elbow} {
		c.lines(pen{hue: grey, dash: "4 5"}, p, xy{p[0], 330})
	}
	for _, p := range []xy{hands, elbow} {
		c.lines(pen{hue: grey, dash: "4 5"}, p, xy{p[0], 70})
	}
	c.span(pen{width: 2}, xy{elbow[0], 324}, xy{hip[0], 324})
	c.span(pen{width: 2}, xy{elbow[0], 76}, xy{hands[0], 76})
	c.bold(xy{(elbow[0] + hip[0]) / 2, 350}, middle, "elbow to hip")
	c.bold(xy{(elbow[0] + hands[0]) / 2, 62}, middle, "hands to elbow")
	c.text(xy{elbow[0] - 14, elbow[1] + 6}, right, "back elbow")
	c.text(xy{hip[0] + 14, hip[1] + 6}, left, "back hip")
	c.text(xy{hands[0] + 12, hands[1] + 6}, left, "hands")
}

func atLag(c *canvas, s swing, w window) {
	lag := s.lagS()
	barrel, hands := w.at(pos(s)(lag)), w.at(s.hands(lag))
	buckle := w.at([2]float64{-0.56, 0.04})
	head := w.at([2]float64{-0.57, 0.58})
	shoulder := w.at([2]float64{-0.57, 0.50})
	limb(c, shoulder, buckle)
	c.circle(head, 20, pen{hue: grey, width: 4})
	c.lines(pen{width: 4}, barrel, hands)
	c.rect(xy{buckle[0] - 8, buckle[1] - 7}, xy{buckle[0] + 8, buckle[1] + 7}, pen{hue: green, width: 3, fill: paper})
	c.dot(hands, handsHue)
	c.dot(barrel, ink)
	for _, p := range []xy{hands, buckle} {
		c.lines(pen{hue: grey, dash: "4 5"}, p, xy{p[0], 340})
	}
	c.span(pen{width: 2}, xy{buckle[0], 334}, xy{hands[0], 334})
	c.bold(xy{592, 358}, right, "hands ahead of buckle: +")
	c.text(xy{barrel[0] - 8, barrel[1] - 14}, left, "barrel")
	c.text(xy{hands[0] + 10, hands[1] - 8}, left, "hands")
	c.text(xy{buckle[0] - 14, buckle[1] + 5}, right, "buckle")
}

func drawArm(c *canvas) {
	c.lines(pen{hue: grey, width: 1}, xy{300, 12}, xy{300, 328})
	c.bold(xy{150, 26}, middle, "lead elbow")
	bentArm(c, xy{50, 95}, 110)
	bentArm(c, xy{50, 230}, 160)
	c.bold(xy{450, 26}, middle, "head and shoulders")
	drift(c)
}

// bentArm draws shoulder, elbow and wrist with an angle at the elbow.
func bentArm(c *canvas, shoulder xy, deg float64) {
	const upper, fore, slope = 95, 90, 25
	sin, cos := math.Sincos(rad(slope))
	elbow := xy{shoulder[0] + upper*cos, shoulder[1] + upper*sin}
	// The bone to the shoulder points at 180 − slope, that to the wrist lies deg
	// from it.
	toShoulder := 180 - float64(slope)
	toWrist := toShoulder - deg
	sin, cos = math.Sincos(rad(toWrist))
	wrist := xy{elbow[0] + fore*cos, elbow[1] - fore*sin}
	limb(c, shoulder, elbow)
	limb(c, elbow, wrist)
	c.arc(pen{width: 2}, elbow, 28, toWrist, toShoulder)
	for _, p := range []xy{shoulder, elbow, wrist} {
		joint(c, p)
	}
	sin, cos = math.Sincos(rad((toWrist + toShoulder) / 2))
	c.bold(xy{elbow[0] + 46*cos, elbow[1] - 46*sin + 2}, middle, fmt.Sprintf("%.0f°", deg))
	c.text(xy{shoulder[0] - 8, shoulder[1] - 16}, left, "shoulder")
	c.text(xy{elbow[0], elbow[1] + 26}, middle, "elbow")
	c.text(xy{wrist[0] + 12, wrist[1] + 6}, left, "wrist")
}

// drift draws the head at launch and at contact, and the line between the
// shoulders at launch and at slot.
func drift(c *canvas) {
	before, after := xy{405, 110}, xy{450, 114}
	c.circle(before, 24, pen{hue: grey, width: 3, dash: "5 5"})
	c.circle(after, 24, pen{width: 3})
	c.text(xy{before[0] - 32, before[1] + 5}, right, "launch")
	c.text(xy{after[0] + 32, after[1] + 5}, left, "contact")
	for _, p := range []xy{before, after} {
		c.lines(pen{hue: grey, dash: "4 5"}, p, xy{p[0], 62})
	}
	c.span(pen{width: 2}, xy{before[0], 68}, xy{after[0], 68})
	c.bold(xy{(before[0] + after[0]) / 2, 56}, middle, "head drift")

	back := xy{360, 270}
	at := func(deg float64) xy {
		sin, cos := math.Sincos(rad(deg))
		return xy{back[0] + 130*cos, back[1] - 130*sin}
	}
	launch, slot := at(-8), at(14)
	c.lines(pen{hue: grey, width: 4, dash: "7 7"}, back, launch)
	c.lines(pen{width: 4}, back, slot)
	c.arc(pen{width: 2}, back, 90, -8, 14)
	for _, p := range []xy{back, launch, slot} {
		joint(c, p)
	}
	c.text(xy{back[0] - 46, back[1] + 26}, left, "back shoulder")
	c.text(xy{launch[0] + 14, launch[1] + 6}, left, "launch")
	c.text(xy{slot[0] + 14, slot[1] + 6}, left, "slot")
	c.bold(xy{430, 210}, middle, "shoulder line's turn")
}
