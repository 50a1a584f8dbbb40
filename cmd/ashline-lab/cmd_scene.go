package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"ashline/pipeline/scene"

	"github.com/spf13/cobra"
)

// sceneFlags are the flags of the scene command. A number flag left out keeps
// what the family draws.
type sceneFlags struct {
	seed                             uint64
	family, out, name, size, shutter string
	timing, codec                    string
	count, rotate, hide, workers     int
	kind, bats, side, light, look    string
	lamp, scenery                    string
	barrelColour, handsColour, fault string
	bands, distract                  []string
	variable, cardNoise, asJSON      bool
	labels                           scene.Labels
	numbers                          map[string]*float64
}

func newSceneCmd() *cobra.Command {
	f := sceneFlags{numbers: map[string]*float64{}}
	cmd := &cobra.Command{
		Use:   "scene",
		Short: "Render an invented swing in a synthetic cage, with its card and its exact truth",
		Long: `Render an invented hitter swinging at a pitch in a synthetic cage, and write
NAME.mp4, its card NAME.card.yaml and NAME.truth.json: what a measurement of the
clip should find.

A family draws every parameter from the seed; a flag given overrides one of
them. The same seed, family and flags give the same frames.

Families: clean, fps120, dim250 (1/250 s, low light), jacket (cloth of the
band's hue), hidden12 (barrel hidden for 12 frames), shake (hand-held), yaw15
(off square), rotated (turned by the file's tags), vfr (variable frame rate),
left (left-handed), rolling (rolling shutter). Of swings that meet nothing or barely:
late, early, over, under, tip, check, take. Of the field, with cameras, lamps, hitters
and impacts drawn wide: outside, and with one more thing each hedge (the band's hue,
duller, in the scenery), clay (orange before clay and cones of the very colour), crowd
(people with the band's colour moving behind, and a second hitter), drift (exposure and
white balance), fps60 (1/250 s), closed (from behind the back), bare (no band at the
hands), flat (the bat level and pointing at the lens), glare (reflective bands), net
(through a net near the lens), stutter (dropped and doubled frames), bump (a jolt of the
camera), messenger (848x480, 60 fps, 700 kb/s), long (12 s, three swings, waggles, a
rehearsal).`,
		Example: `  ashline-lab scene --seed 7 --out clips
  ashline-lab scene --seed 1 --count 6 --family shake --out clips
  ashline-lab scene --seed 3 --attack 4 --descent 7 --timing late --distance 5.2 --out clips
  ashline-lab scene --seed 3 --shutter 1/250 --light dim --size 1920x1080 --out clips --json`,
		RunE: func(cmd *cobra.Command, _ []string) error { return f.run(cmd) },
	}
	fl := cmd.Flags()
	fl.Uint64Var(&f.seed, "seed", 1, "seed of everything random")
	fl.StringVar(&f.family, "family", "clean", "kind of scene, one of those above")
	fl.IntVar(&f.count, "count", 1, "number of scenes, with seeds counting up")
	fl.StringVar(&f.out, "out", "", "folder for the files (made if missing)")
	fl.StringVar(&f.name, "name", "", "name of the files (default FAMILY-SEED)")
	fl.BoolVar(&f.asJSON, "json", false, "print the files as JSON lines")
	fl.StringVar(&f.size, "size", "", "size of the upright picture, px, as 1280x720")
	fl.StringVar(&f.shutter, "shutter", "", "exposure time, s, as 1/1000 or 0.001")
	fl.StringVar(&f.timing, "timing", "", "early, late, or ms late (negative: early) against the pitch")
	fl.StringVar(&f.codec, "codec", "h264", "h264 or hevc")
	fl.IntVar(&f.workers, "workers", 1, "frames rendered at the same time")
	fl.StringVar(&f.kind, "kind", "", "live, machine, toss, tee or dry")
	fl.StringVar(&f.bats, "bats", "", "right or left")
	fl.StringVar(&f.side, "side", "", "side the camera films from: open or closed")
	fl.StringVar(&f.light, "light", "", "bright, indoor or dim")
	fl.StringVar(&f.lamp, "lamp", "", "where the light comes from: above, side, behind or sky")
	fl.StringVar(&f.scenery, "scenery", "", "hedge or clay instead of the cage")
	fl.StringVar(&f.look, "bat-look", "", "wood, dark or metal")
	fl.StringVar(&f.barrelColour, "barrel-colour", "", "colour of the barrel's band, #rrggbb")
	fl.StringVar(&f.handsColour, "hands-colour", "", "colour of the hands' band, #rrggbb, or none")
	fl.StringSliceVar(&f.bands, "bands", nil, "bands on joints: lead_elbow, lead_shoulder, lead_wrist, back_elbow, back_hip, belt_buckle, or all")
	fl.StringSliceVar(&f.distract, "distract", nil, "jacket, bystander, coach, balls, sleeve")
	fl.StringVar(&f.fault, "fault", "", "plant a fault in the swing: "+strings.Join(scene.Faults(), ", "))
	fl.IntVar(&f.rotate, "rotate", 0, "clockwise turn the file asks of a player: 0, 90, 180 or 270 degrees")
	fl.IntVar(&f.hide, "hide", 0, "frames for which something near the camera hides the barrel")
	fl.BoolVar(&f.variable, "vfr", false, "variable frame rate")
	fl.BoolVar(&f.cardNoise, "card-noise", false, "write the card as a coach would measure it, not exact")
	fl.StringVar(&f.labels.Academy, "academy", "", "academy on the card (default fernhill)")
	fl.StringVar(&f.labels.Hitter, "hitter", "", "hitter's id on the card (default from the seed)")
	fl.StringVar(&f.labels.Session, "session", "", "session's date on the card")
	fl.StringVar(&f.labels.Label, "label", "", "label on the card")
	for _, n := range sceneNumbers {
		f.numbers[n.flag] = fl.Float64(n.flag, 0, n.help+" (default: drawn by the family)")
	}
	return cmd
}

// sceneNumber is one number flag and the parameter that it sets.
type sceneNumber struct {
	flag, help string
	set        func(p *scene.Params, v float64)
}

var sceneNumbers = []sceneNumber{
	{"fps", "capture rate, frames a second", func(p *scene.Params, v float64) { p.FPS = v }},
	{"file-fps", "rate written in the file; 30 makes a slow-motion export", func(p *scene.Params, v float64) { p.FileFPS = v }},
	{"readout", "rolling shutter, top to bottom, ms", func(p *scene.Params, v float64) { p.ReadoutMS = v }},
	{"lead-in", "time before contact, s", func(p *scene.Params, v float64) { p.LeadInS = v }},
	{"run-out", "time after contact, s", func(p *scene.Params, v float64) { p.RunOutS = v }},
	{"distance", "lens to the plane of the pitch, m", func(p *scene.Params, v float64) { p.DistanceM = v }},
	{"camera-height", "height of the lens, m", func(p *scene.Params, v float64) { p.CameraHeightM = v }},
	{"station", "where along the pitch the lens stands, m towards the pitcher", func(p *scene.Params, v float64) { p.StationXM = v }},
	{"view-width", "metres of the pitch's plane in the picture's width", func(p *scene.Params, v float64) { p.ViewWidthM = v }},
	{"yaw", "degrees off square, positive towards the pitcher", func(p *scene.Params, v float64) { p.YawDeg = v }},
	{"tilt", "degrees the camera looks up", func(p *scene.Params, v float64) { p.TiltDeg = v }},
	{"roll", "degrees the camera is turned clockwise", func(p *scene.Params, v float64) { p.RollDeg = v }},
	{"shake", "hand-held motion, standard deviation in px", func(p *scene.Params, v float64) { p.ShakePx = v }},
	{"bat-length", "bat's length, m", func(p *scene.Params, v float64) { p.BatLengthM = v }},
	{"band-from-end", "barrel band's middle from the barrel's end, m", func(p *scene.Params, v float64) { p.BandFromEndM = v }},
	{"band-width", "barrel band's width, m", func(p *scene.Params, v float64) { p.BandWidthM = v }},
	{"marks-apart", "middle of the barrel's band to the hands' band, m", func(p *scene.Params, v float64) { p.MarksApartM = v }},
	{"hitter-height", "hitter's height, m", func(p *scene.Params, v float64) { p.HitterHeightM = v }},
	{"barrel-speed", "barrel's speed just before contact, m/s", func(p *scene.Params, v float64) { p.BarrelSpeedMPS = v }},
	{"attack", "attack angle, degrees", func(p *scene.Params, v float64) { p.AttackDeg = &v }},
	{"bat-ahead", "degrees the bat points ahead of straight across at contact", func(p *scene.Params, v float64) { p.BatAheadDeg = &v }},
	{"bat-drop", "degrees the bat points below level at contact", func(p *scene.Params, v float64) { p.BatDropDeg = &v }},
	{"offset", "barrel above the pitch line at contact, m", func(p *scene.Params, v float64) { p.OffsetM = &v }},
	{"peak", "when the bat turns fastest, ms from contact", func(p *scene.Params, v float64) { p.PeakMS = &v }},
	{"loss", "share of its speed that the barrel loses in the impact", func(p *scene.Params, v float64) { p.LossRatio = v }},
	{"pitch-speed", "ball's speed at release, m/s", func(p *scene.Params, v float64) { p.PitchSpeedMPS = v }},
	{"descent", "descent of the pitch at contact, degrees; spin is solved for it", func(p *scene.Params, v float64) { p.DescentDeg = &v }},
	{"spin", "spin of the pitch, rpm, backspin positive", func(p *scene.Params, v float64) { p.SpinRPM = &v }},
	{"release-distance", "where the ball leaves the hand, m from the plate", func(p *scene.Params, v float64) { p.ReleaseDistanceM = v }},
	{"release-height", "height of release, m", func(p *scene.Params, v float64) { p.ReleaseHeightM = v }},
	{"contact-x", "where the ball is met, m towards the pitcher", func(p *scene.Params, v float64) { p.ContactXM = v }},
	{"contact-height", "height at which the ball is met, m", func(p *scene.Params, v float64) { p.ContactHeightM = v }},
	{"hide-at", "middle of the hidden span, s from contact", func(p *scene.Params, v float64) { p.HideAtS = v }},
}

func (f *sceneFlags) run(cmd *cobra.Command) error {
	if f.out == "" {
		return usageError{errors.New("scene: --out is required")}
	}
	if f.count < 1 {
		return usageError{fmt.Errorf("scene: --count %d is under 1", f.count)}
	}
	if f.count > 1 && f.name != "" {
		return usageError{fmt.Errorf("scene: --name %q cannot name --count %d scenes", f.name, f.count)}
	}
	for k := range f.count {
		seed := f.seed + uint64(k)
		p, err := f.params(cmd, seed)
		if err != nil {
			return usageError{err}
		}
		name := f.name
		if name == "" {
			name = fmt.Sprintf("%s-%d", f.family, seed)
		}
		files, err := scene.Write(cmd.Context(), f.out, name, p, scene.WriteOptions{
			Codec: f.codec, Labels: f.labels, NoisyCard: f.cardNoise, Workers: f.workers,
		})
		var bad *scene.ParamError
		if errors.As(err, &bad) {
			flag := strings.ReplaceAll(bad.Name, " ", "-")
			return usageError{fmt.Errorf("scene: --%s %q %s", flag, bad.Value, bad.Why)}
		}
		if err != nil {
			return err
		}
		if f.asJSON {
			if err := json.NewEncoder(cmd.OutOrStdout()).Encode(files); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(cmd.OutOrStdout(), "%s\n%s\n%s\n", files.Clip, files.Card, files.Truth)
	}
	return nil
}

// params draws the family's scene and puts the given flags over it.
func (f *sceneFlags) params(cmd *cobra.Command, seed uint64) (scene.Params, error) {
	p := scene.Random(seed, scene.Family(f.family))
	given := cmd.Flags().Changed
	for _, s := range []struct {
		to   *string
		from string
	}{
		{&p.Kind, f.kind},
		{&p.Bats, f.bats},
		{&p.Side, f.side},
		{&p.Light, f.light},
		{&p.Lamp, f.lamp},
		{&p.Scenery, f.scenery},
		{&p.BatLook, f.look},
		{&p.BarrelColour, f.barrelColour},
		{&p.HandsColour, f.handsColour},
		{&p.Fault, f.fault},
	} {
		if s.from != "" {
			*s.to = s.from
		}
	}
	if f.kind == "toss" && !given("pitch-speed") {
		// A toss has its own speed, spin and distance.
		p.PitchSpeedMPS, p.SpinRPM, p.ReleaseDistanceM, p.ReleaseHeightM = 0, nil, 0, 0
	}
	for _, n := range sceneNumbers {
		if given(n.flag) {
			n.set(&p, *f.numbers[n.flag])
		}
	}
	if given("bands") {
		p.Bands = f.bands
	}
	if given("distract") {
		p.Distract = f.distract
	}
	if given("rotate") {
		p.RotateDeg = f.rotate
	}
	if given("hide") {
		p.HideFrames = f.hide
	}
	if given("vfr") {
		p.VariableRate = f.variable
	}
	if given("size") {
		if n, err := fmt.Sscanf(f.size, "%dx%d", &p.WidthPx, &p.HeightPx); n != 2 || err != nil || f.size != fmt.Sprintf("%dx%d", p.WidthPx, p.HeightPx) {
			return p, fmt.Errorf("scene: --size %q is not as 1280x720", f.size)
		}
	}
	if given("shutter") {
		s, err := fraction(f.shutter)
		if err != nil {
			return p, fmt.Errorf("scene: --shutter %q is not as 1/1000 or 0.001", f.shutter)
		}
		p.ShutterS = s
	}
	switch f.timing {
	case "":
	case "early":
		p.TimingMS = -12
	case "late":
		p.TimingMS = 12
	default:
		v, err := strconv.ParseFloat(strings.TrimSuffix(f.timing, "ms"), 64)
		if err != nil {
			return p, fmt.Errorf("scene: --timing %q is none of early, late, or milliseconds", f.timing)
		}
		p.TimingMS = v
	}
	return p, nil
}

// fraction reads 1/1000 or 0.001.
func fraction(s string) (float64, error) {
	over, under, ok := strings.Cut(s, "/")
	a, err := strconv.ParseFloat(over, 64)
	if err != nil || !ok {
		return a, err
	}
	b, err := strconv.ParseFloat(under, 64)
	if err != nil || b == 0 {
		return 0, errors.New("not a fraction")
	}
	return a / b, nil
}
