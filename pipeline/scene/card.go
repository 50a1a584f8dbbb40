package scene

import (
	"encoding/json"
	"fmt"

	"github.com/goccy/go-yaml"

	"ashline/metrics"
	"ashline/metrics/geom"
)

// Labels are what the card says besides the scene.
type Labels struct {
	// Academy defaults to fernhill, an invented one.
	Academy string
	// Hitter is an id. Defaults to fh- and a number from the seed.
	Hitter string
	// Session is a date. Defaults to 2026-04-11.
	Session string
	// Label is free text, such as "before". Defaults to none.
	Label string
}

// Card is what a coach would know of the scene. With noisy the values are as a
// coach would measure them: distance to 3 %, angles to a degree or less,
// clicked pixels to 1.5 px and lengths on the bat to 4 mm (standard deviations).
func (s *Scene) Card(l Labels, noisy bool) metrics.Card {
	p := s.P
	rnd := newNoise(p.Seed, 0xca4d)
	off := func(sd float64) float64 {
		if g := rnd.gauss(); noisy {
			return sd * max(-2.5, min(2.5, g))
		}
		return 0
	}
	str := func(v, d string) string {
		if v == "" {
			return d
		}
		return v
	}
	c := metrics.Card{
		Academy: str(l.Academy, "fernhill"), Hitter: str(l.Hitter, fmt.Sprintf("fh-%03d", p.Seed%900+1)),
		Session: str(l.Session, "2026-04-11"), Label: l.Label,
		Kind: p.Kind, Bats: p.Bats, HeightM: p.HitterHeightM,
	}
	c.Camera = metrics.Camera{
		Side: p.Side, Pitcher: s.Cam.Pitcher, DistanceM: round(p.DistanceM*(1+off(0.03)), 3),
		YawDeg: round(p.YawDeg+off(1), 2), RollDeg: round(p.RollDeg+off(0.3), 2), ReadoutMS: p.ReadoutMS, Held: "steady",
	}
	if p.ShakePx > 0 || p.PanPx != 0 {
		c.Camera.Held = "hand"
	}
	if p.FileFPS != p.FPS {
		c.Camera.CaptureFPS = p.FPS
	}
	click := func(q Vec) geom.Point {
		px := s.Cam.Project(q)
		return geom.Point{round(px.XPx+off(1.5), 3), round(px.YPx+off(1.5), 3)}
	}
	c.Scale = []metrics.Scale{
		{Points: []geom.Point{click(Vec{-0.216, 0, 0}), click(Vec{0.216, 0, 0})}, LengthM: 0.432},
	}
	if p.HandsColour != "none" {
		c.Scale = append(c.Scale, metrics.Scale{BatMarks: true})
	}
	if p.Kind != "dry" {
		c.Scale = append(c.Scale, metrics.Scale{Ball: true})
	}
	c.Marks.Barrel = &metrics.Mark{Colour: p.BarrelColour, FromEndM: round(p.BandFromEndM+off(0.004), 4), WidthM: p.BandWidthM}
	c.Bat = metrics.Bat{LengthM: p.BatLengthM, BarrelDiameterM: p.BarrelDiameterM}
	if p.HandsColour != "none" {
		c.Marks.Hands = &metrics.Mark{Colour: p.HandsColour}
		c.Bat.MarksApartM = round(p.MarksApartM+off(0.004), 4)
	}
	for _, b := range p.Bands {
		m := &metrics.Mark{Colour: p.bandColour(b)}
		switch b {
		case "lead_elbow":
			c.Marks.LeadElbow = m
		case "lead_shoulder":
			c.Marks.LeadShoulder = m
		case "lead_wrist":
			c.Marks.LeadWrist = m
		case "back_elbow":
			c.Marks.BackElbow = m
		case "back_hip":
			c.Marks.BackHip = m
		case "belt_buckle":
			c.Marks.BeltBuckle = m
		}
	}
	if p.TiltDeg != 0 {
		c.Camera.TiltDeg = round(p.TiltDeg+off(0.5), 2)
	}
	c.Pitch = metrics.PitchCard{Line: "tracked", Ball: "baseball"}
	return c
}

// CardYAML writes a card without the fields that were left out.
func CardYAML(c metrics.Card) ([]byte, error) {
	j, err := json.Marshal(c)
	if err != nil {
		return nil, fmt.Errorf("scene: card: %w", err)
	}
	y, err := yaml.JSONToYAML(j)
	if err != nil {
		return nil, fmt.Errorf("scene: card: %w", err)
	}
	return y, nil
}
