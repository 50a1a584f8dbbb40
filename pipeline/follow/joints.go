package follow

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"ashline/metrics"
	"ashline/pipeline/fault"
	"ashline/pipeline/media"
	"ashline/pipeline/pose"
	"ashline/pipeline/progress"
)

// Of a swing, the pose network sees this much before and after the barrel's fastest
// moment, and no more frames a second than an arm's motion needs.
const (
	poseBeforeS = 0.28
	poseAfterS  = 0.22
	poseFPS     = 120.0
)

// The square that the network is given: so much of the cage about the hands, first
// to find the hitter there or half a metre to either side, then about the person
// found.
const (
	poseViewM   = 2.5  // m, side
	poseBelowM  = 0.15 // m, its middle below the hands
	poseAsideM  = 0.5
	poseRoom    = 1.35 // of the person's longer side
	poseTries   = 4    // frames in which nobody may be found before the search is given up
	wristReachM = 0.4  // m, of a wrist from the hands' mark or, without one, poseViewM/2 from the barrel
	leastJoint  = 0.3  // score below which a joint is not known
	leastFound  = 8    // joints of a person
	// posePlace is the s.d. of a joint's place at full score, as a share of the
	// person's longer side: what changes from frame to frame.
	posePlace = 0.008
)

// Poses finds joints with the pose network in the frames around each swing.
func (g *Gathered) Poses(ctx context.Context, path string, s *Sightings, c metrics.Card, net *pose.Net, report progress.Report) error {
	w := &watcher{g: g, s: s, net: net, lead: leadJoints(c.Bats)}
	w.ppm = g.pxPerM()
	g.Track.Pose = map[string][]metrics.Sample{}
	for _, sp := range g.Track.Swings {
		if err := w.swing(ctx, path, sp, report); err != nil {
			return err
		}
	}
	return nil
}

// leadJoints names the network's joints that are used, from the hitter's side: who
// bats right-handed leads with the left.
func leadJoints(bats string) map[string]int {
	lead := map[string]int{
		"lead_shoulder": pose.LeftShoulder, "lead_elbow": pose.LeftElbow, "lead_wrist": pose.LeftWrist,
		"back_shoulder": pose.RightShoulder, "back_elbow": pose.RightElbow, "back_hip": pose.RightHip,
	}
	if bats == "left" {
		// Left and right alternate in the network's order, left first.
		for name, k := range lead {
			lead[name] = k + 1 - 2*((k+1)%2)
		}
	}
	lead["head"] = pose.Nose
	return lead
}

// watcher follows one hitter with the network.
type watcher struct {
	g      *Gathered
	s      *Sightings
	net    *pose.Net
	lead   map[string]int
	ppm    float64
	square pose.Square
	found  bool
	failed int
}

// swing watches one swing.
func (w *watcher) swing(ctx context.Context, path string, sp metrics.Span, report progress.Report) error {
	t := w.s.TimesS
	peak := w.g.fastest(sp)
	from, to := sp.From, min(sp.To, len(t))-1
	for from < to && t[from] < peak-poseBeforeS {
		from++
	}
	for to > from && t[to] > peak+poseAfterS {
		to--
	}
	dec, err := media.Open(ctx, path, w.s.Info, media.Options{StartS: w.s.FileS[from], EndS: w.s.FileS[to], Times: w.s.FileS})
	if err != nil {
		return err
	}
	defer dec.Close()
	w.found, w.failed = false, 0
	last := math.Inf(-1)
	var f media.Frame
	for {
		if err := dec.Next(&f); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
		if f.Index < from || f.Index > to || t[f.Index]-last < 0.9/poseFPS {
			continue
		}
		last = t[f.Index]
		if err := w.frame(&f); err != nil {
			return fmt.Errorf("%w: %w", fault.ErrPose, err)
		}
		if !w.found && w.failed >= poseTries {
			return nil
		}
		report.At("pose", f.Index-from, to-from+1)
	}
}

// fastest is when the barrel is fastest in the picture during a swing.
func (g *Gathered) fastest(sp metrics.Span) float64 {
	var in []metrics.Sample
	for _, b := range g.Track.Barrel {
		if b.Frame >= sp.From && b.Frame < sp.To {
			in = append(in, b)
		}
	}
	at, most := g.Track.TimesS[sp.From], 0.0
	for i, v := range sampleSpeeds(in) {
		if v > most {
			at, most = in[i].TimeS, v
		}
	}
	return at
}

// hands is about where the hitter's hands are in a frame as filmed, and within what
// reach of that a wrist must be, px.
func (w *watcher) hands(frame int) (x, y, reach float64, ok bool) {
	t := w.s.TimesS[frame]
	reach = wristReachM * w.ppm
	p, ok := near(w.g.Track.Hands, t)
	if !ok {
		// The bat's end goes round the hitter: its mean over a while is about them.
		n := 0.0
		p = metrics.Sample{}
		for _, b := range w.g.Track.Barrel {
			if math.Abs(b.TimeS-t) < poseBeforeS/2 {
				p.XPx, p.YPx, n = p.XPx+b.XPx, p.YPx+b.YPx, n+1
			}
		}
		if n == 0 {
			return 0, 0, 0, false
		}
		p.XPx, p.YPx, reach = p.XPx/n, p.YPx/n, poseViewM/2*w.ppm
	}
	x, y = w.s.Moves[frame].Inverse().Apply(p.XPx, p.YPx)
	return x, y, reach, true
}

// frame looks for the hitter in one frame and keeps the joints.
func (w *watcher) frame(f *media.Frame) error {
	hx, hy, reach, ok := w.hands(f.Index)
	if !ok {
		return nil
	}
	pic := picture{f, w.s.Info.Space()}
	if !w.found {
		return w.search(f, pic, hx, hy, reach)
	}
	p, err := w.net.Run(pose.Crop(pic, w.square))
	if err != nil {
		return err
	}
	if p = p.On(w.square); hitter(p, hx, hy, reach) {
		w.keep(f.Index, p)
	}
	return nil
}

// search finds the hitter: the person whose wrist is nearest to the bat's hands.
func (w *watcher) search(f *media.Frame, pic picture, hx, hy, reach float64) error {
	side := poseViewM * w.ppm
	for _, aside := range []float64{0, -poseAsideM, poseAsideM} {
		sq := pose.Square{X: hx + aside*w.ppm - side/2, Y: hy + poseBelowM*w.ppm - side/2, Side: side}
		p, err := w.net.Run(pose.Crop(pic, sq))
		if err != nil {
			return err
		}
		if p = p.On(sq); !hitter(p, hx, hy, reach) {
			continue
		}
		// Once more about the person, whose joints then are as fine as can be.
		x0, y0, x1, y1 := extent(p)
		side := poseRoom * math.Max(x1-x0, y1-y0)
		w.square = pose.Square{X: (x0+x1-side)/2 + 0.5, Y: (y0+y1-side)/2 + 0.5, Side: side}
		w.found = true
		return w.frame(f)
	}
	w.failed++
	return nil
}

// hitter reports whether enough of a person was seen, with a wrist at the bat's hands.
func hitter(p pose.Person, hx, hy, reach float64) bool {
	n, near := 0, false
	for k, j := range p {
		if j.Score < leastJoint {
			continue
		}
		n++
		if (k == pose.LeftWrist || k == pose.RightWrist) && math.Hypot(j.X-hx, j.Y-hy) < reach {
			near = true
		}
	}
	return n >= leastFound && near
}

// extent is the smallest rectangle about a person's known joints.
func extent(p pose.Person) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, j := range p {
		if j.Score >= leastJoint {
			x0, y0, x1, y1 = math.Min(x0, j.X), math.Min(y0, j.Y), math.Max(x1, j.X), math.Max(y1, j.Y)
		}
	}
	return x0, y0, x1, y1
}

// keep adds a person's joints to the track.
func (w *watcher) keep(frame int, p pose.Person) {
	add := func(name string, j pose.Joint) {
		if j.Score < leastJoint {
			return
		}
		sd := posePlace * w.square.Side / poseRoom
		x, y := w.s.Moves[frame].Apply(j.X, j.Y)
		w.g.Track.Pose[name] = append(w.g.Track.Pose[name], metrics.Sample{
			Frame: frame, TimeS: w.s.TimesS[frame], XPx: x, YPx: y,
			VarXX: sd * sd / j.Score, VarYY: sd * sd / j.Score, How: metrics.Seen,
		})
	}
	for name, k := range w.lead {
		add(name, p[k])
	}
}

// picture is a decoded frame in colour.
type picture struct {
	f     *media.Frame
	space media.ColourSpace
}

func (p picture) Size() (w, h int) { return p.f.W, p.f.H }

func (p picture) At(x, y int) [3]float32 {
	i := y/2*p.f.ChromaW() + x/2
	return [3]float32{float32(p.f.Y[y*p.f.W+x]), float32(p.f.U[i]), float32(p.f.V[i])}
}

func (p picture) RGB(s [3]float32) [3]float32 {
	round := func(v float32) uint8 { return uint8(v + 0.5) }
	r, g, b := p.space.RGB(round(s[0]), round(s[1]), round(s[2]))
	return [3]float32{float32(r), float32(g), float32(b)}
}
