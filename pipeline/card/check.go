package card

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"

	"ashline/metrics"
)

// idPattern is what an academy's and a hitter's id may look like: they become
// parts of object keys, so nothing else is let in.
var idPattern = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_.-]{0,63}$`)

const maxText = 300

// Check reports the first field whose value cannot be used.
func Check(c metrics.Card) error {
	for _, e := range []error{
		id("academy", c.Academy), id("hitter", c.Hitter), date("session", c.Session),
		oneOf("kind", c.Kind, "live", "machine", "toss", "tee", "dry"),
		oneOf("bats", c.Bats, "right", "left"),
		oneOf("camera.side", c.Camera.Side, "open", "closed"),
		oneOf("camera.pitcher", c.Camera.Pitcher, "left", "right"),
		oneOf("camera.held", c.Camera.Held, "steady", "hand"),
		oneOf("pitch.line", c.Pitch.Line, "tracked", "drawn", "flight"),
		oneOf("pitch.ball", c.Pitch.Ball, "baseball", "softball_11", "softball_12"),
		between("height_m", c.HeightM, 0.8, 2.4),
		between("camera.capture_fps", c.Camera.CaptureFPS, 10, 2000),
		between("camera.distance_m", c.Camera.DistanceM, 1, 60),
		within("camera.roll_deg", c.Camera.RollDeg, 45),
		within("camera.yaw_deg", c.Camera.YawDeg, 60),
		within("camera.tilt_deg", c.Camera.TiltDeg, 30),
		between("camera.readout_ms", c.Camera.ReadoutMS, 0.01, 50),
		between("bat.length_m", c.Bat.LengthM, 0.4, 1.1),
		between("bat.barrel_diameter_m", c.Bat.BarrelDiameterM, 0.045, 0.08),
		between("bat.marks_apart_m", c.Bat.MarksApartM, 0.1, 1.05),
		between("pitch.speed_mps", c.Pitch.SpeedMPS, 2, 60),
		between("pitch.release_height_m", c.Pitch.ReleaseHeightM, 0.05, 3),
		between("pitch.release_distance_m", c.Pitch.ReleaseDistanceM, 1, 20),
		within("pitch.spin_rpm", c.Pitch.SpinRPM, 5000),
		between("pitch.plate_height_m", c.Pitch.PlateHeightM, 0.1, 2),
		between("tolerances.direction_deg", c.Tolerances.DirectionDeg, 0.5, 45),
		between("tolerances.distance_m", c.Tolerances.DistanceM, 0.005, 0.5),
		between("tolerances.solid_m", c.Tolerances.SolidM, 0.001, 0.1),
	} {
		if e != nil {
			return e
		}
	}
	if len([]rune(c.Label)) > maxText {
		return fmt.Errorf("label: longer than %d characters", maxText)
	}
	if i := strings.IndexFunc(c.Label, func(r rune) bool { return !unicode.IsPrint(r) && r != '\n' }); i >= 0 {
		return fmt.Errorf("label: the character at %d cannot be printed", i)
	}
	if n := len(c.Camera.Level); n != 0 && n != 2 {
		return fmt.Errorf("camera.level: wants two points, has %d", n)
	}
	for i, s := range c.Scale {
		if err := checkScale(fmt.Sprintf("scale[%d]", i), s, c); err != nil {
			return err
		}
	}
	if c.Pitch.Line == "drawn" && (len(c.Pitch.Points) != 2 || c.Pitch.Points[0] == c.Pitch.Points[1]) {
		return fmt.Errorf("pitch.points: a drawn line wants two different points, pitcher's end first")
	}
	if c.Pitch.Line == "flight" && c.Pitch.SpeedMPS == 0 {
		return fmt.Errorf("pitch.speed_mps: a computed flight wants the speed at release")
	}
	return checkMarks(c.Marks)
}

func checkScale(path string, s metrics.Scale, c metrics.Card) error {
	given := 0
	for _, g := range []bool{len(s.Points) > 0, len(s.Plate) > 0, s.BatMarks, s.Ball} {
		if g {
			given++
		}
	}
	switch {
	case given == 0:
		return fmt.Errorf("%s: wants points with length_m, plate, bat_marks or ball", path)
	case given > 1:
		return fmt.Errorf("%s: one source an entry; this one has %d", path, given)
	case len(s.Points) > 0 && len(s.Points) != 2:
		return fmt.Errorf("%s.points: wants two points, has %d", path, len(s.Points))
	case len(s.Points) == 2 && s.Points[0] == s.Points[1]:
		return fmt.Errorf("%s.points: the two points are the same", path)
	case len(s.Points) == 2 && (s.LengthM < 0.01 || s.LengthM > 30 || !finite(s.LengthM)):
		return fmt.Errorf("%s.length_m: %g is not between 0.01 and 30", path, s.LengthM)
	case len(s.Plate) > 0 && (len(s.Plate) != 2 || s.Plate[0] == s.Plate[1]):
		return fmt.Errorf("%s.plate: wants two different points, front edge and rear tip", path)
	case s.BatMarks && c.Bat.MarksApartM == 0:
		return fmt.Errorf("%s.bat_marks: wants bat.marks_apart_m", path)
	}
	return nil
}

func checkMarks(m metrics.Marks) error {
	for _, nm := range NamedMarks(m) {
		path := "marks." + nm.Name
		switch {
		case nm.Mark.Colour == "" && nm.Mark.Pixel == nil:
			return fmt.Errorf("%s: wants a colour, or a pixel with its frame", path)
		case nm.Mark.Colour != "":
			if _, err := ParseColour(nm.Mark.Colour); err != nil {
				return fmt.Errorf("%s.colour: %w", path, err)
			}
		}
		for _, e := range []error{
			between(path+".from_end_m", nm.Mark.FromEndM, 0.01, 0.6),
			between(path+".width_m", nm.Mark.WidthM, 0.005, 0.3),
		} {
			if e != nil {
				return e
			}
		}
		if nm.Mark.Frame < 0 {
			return fmt.Errorf("%s.frame: %d is negative", path, nm.Mark.Frame)
		}
	}
	return nil
}

// NamedMark is a mark with its key in the card.
type NamedMark struct {
	Name string
	Mark metrics.Mark
}

// NamedMarks lists the marks that are given, barrel and hands first.
func NamedMarks(m metrics.Marks) []NamedMark {
	var out []NamedMark
	for _, e := range []struct {
		name string
		mark *metrics.Mark
	}{
		{"barrel", m.Barrel},
		{"hands", m.Hands},
		{"lead_elbow", m.LeadElbow},
		{"lead_shoulder", m.LeadShoulder},
		{"lead_wrist", m.LeadWrist},
		{"back_elbow", m.BackElbow},
		{"back_hip", m.BackHip},
		{"belt_buckle", m.BeltBuckle},
	} {
		if e.mark != nil {
			out = append(out, NamedMark{e.name, *e.mark})
		}
	}
	return out
}

func id(path, v string) error {
	if v == "" || idPattern.MatchString(v) {
		return nil
	}
	return fmt.Errorf("%s: %q is not an id (letters, digits, _ . -, 64 at most)", path, clip(v))
}

func date(path, v string) error {
	if v == "" {
		return nil
	}
	if _, err := time.Parse(time.DateOnly, v); err != nil {
		return fmt.Errorf("%s: %q is not a date like 2026-04-11", path, clip(v))
	}
	return nil
}

func oneOf(path, v string, allowed ...string) error {
	if v == "" || slices.Contains(allowed, v) {
		return nil
	}
	return fmt.Errorf("%s: %q is none of %s", path, clip(v), strings.Join(allowed, ", "))
}

func between(path string, v, lo, hi float64) error {
	if v == 0 || (finite(v) && v >= lo && v <= hi) {
		return nil
	}
	return fmt.Errorf("%s: %g is not between %g and %g", path, v, lo, hi)
}

func within(path string, v, limit float64) error {
	if finite(v) && v >= -limit && v <= limit {
		return nil
	}
	return fmt.Errorf("%s: %g is not between %g and %g", path, v, -limit, limit)
}

func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
