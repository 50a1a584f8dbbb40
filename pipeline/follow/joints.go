package follow

import (
	"context"
	"fmt"
	"math"

	"ashline/metrics"
	"ashline/pipeline/fault"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/pose"
	"ashline/pipeline/progress"
)

// hitter is who swings: where the bat is of which the hands hold one end.
type hitter struct {
	bats   string
	barrel []metrics.Sample
	hands  []metrics.Sample // none without the hands' mark
	swings []metrics.Span
	ppm    float64 // px a metre
}

// Joints finds a hitter's joints with the pose network in the frames around each swing.
func Joints(ctx context.Context, clip footage.Footage, h hitter, net *pose.Net, report progress.Report) (map[string][]metrics.Sample, error) {
	out := map[string][]metrics.Sample{}
	for _, sp := range h.swings {
		w := watcher{clip: clip, h: h, net: net, lead: leadJoints(h.bats)}
		if err := w.swing(ctx, sp, report, out); err != nil {
			return nil, err
		}
	}
	return out, nil
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

// watcher follows the hitter through one swing with the network.
type watcher struct {
	clip   footage.Footage
	h      hitter
	net    *pose.Net
	lead   map[string]int
	square pose.Square // where the person was found
	found  bool
	failed int
}

// swing watches one swing and adds what it sees to the joints.
func (w *watcher) swing(ctx context.Context, sp metrics.Span, report progress.Report, joints map[string][]metrics.Sample) error {
	t := w.clip.TimesS
	peak := PeakTime(w.h.barrel, sp)
	from, to := sp.From, min(sp.To, len(t))-1
	for from < to && t[from] < peak-poseBeforeS {
		from++
	}
	for to > from && t[to] > peak+poseAfterS {
		to--
	}
	last := math.Inf(-1)
	for f, err := range w.clip.Again(ctx, from, to) {
		if err != nil {
			return err
		}
		if f.Index < from || f.Index > to || t[f.Index]-last < poseSlack/poseFPS {
			continue
		}
		last = t[f.Index]
		p, ok, err := w.frame(f)
		if err != nil {
			return fmt.Errorf("%w: %w", fault.ErrPose, err)
		}
		if ok {
			w.keep(f.Index, p, joints)
		}
		if !w.found && w.failed >= poseTries {
			return nil
		}
		report.At("pose", f.Index-from, to-from+1)
	}
	return nil
}

// hands is about where the hitter's hands are in a frame as filmed, and within what
// reach of that a wrist must be, px.
func (w *watcher) hands(frame int) (x, y, reach float64, ok bool) {
	t := w.clip.TimesS[frame]
	reach = wristReachM * w.h.ppm
	p, ok := near(w.h.hands, t)
	if !ok {
		// The bat's end goes round the hitter: its mean over a while is about them.
		n := 0.0
		p = metrics.Sample{}
		for _, b := range w.h.barrel {
			if math.Abs(b.TimeS-t) < poseBeforeS/2 {
				p.XPx, p.YPx, n = p.XPx+b.XPx, p.YPx+b.YPx, n+1
			}
		}
		if n == 0 {
			return 0, 0, 0, false
		}
		p.XPx, p.YPx, reach = p.XPx/n, p.YPx/n, poseViewM/2*w.h.ppm
	}
	x, y = w.clip.Moves[frame].Inverse().Apply(p.XPx, p.YPx)
	return x, y, reach, true
}

// frame looks for the hitter in one frame.
func (w *watcher) frame(f *media.Frame) (pose.Person, bool, error) {
	hx, hy, reach, ok := w.hands(f.Index)
	if !ok {
		return pose.Person{}, false, nil
	}
	pic := picture{f, w.clip.Info.Space()}
	if !w.found {
		if err := w.search(pic, hx, hy, reach); err != nil || !w.found {
			return pose.Person{}, false, err
		}
	}
	p, err := w.net.Run(pose.Crop(pic, w.square))
	if err != nil {
		return p, false, err
	}
	p = p.On(w.square)
	return p, isHitter(p, hx, hy, reach), nil
}

// search finds the hitter: the person whose wrist is nearest to the bat's hands.
func (w *watcher) search(pic picture, hx, hy, reach float64) error {
	side := poseViewM * w.h.ppm
	for _, aside := range []float64{0, -poseAsideM, poseAsideM} {
		sq := pose.Square{X: hx + aside*w.h.ppm - side/2, Y: hy + poseBelowM*w.h.ppm - side/2, Side: side}
		p, err := w.net.Run(pose.Crop(pic, sq))
		if err != nil {
			return err
		}
		if p = p.On(sq); !isHitter(p, hx, hy, reach) {
			continue
		}
		// Once more about the person, whose joints then are as fine as can be.
		x0, y0, x1, y1 := extent(p)
		side := poseRoom * math.Max(x1-x0, y1-y0)
		w.square = pose.Square{X: (x0+x1-side)/2 + 0.5, Y: (y0+y1-side)/2 + 0.5, Side: side}
		w.found = true
		return nil
	}
	w.failed++
	return nil
}

// keep adds a person's known joints to the others.
func (w *watcher) keep(frame int, p pose.Person, joints map[string][]metrics.Sample) {
	sd := posePlace * w.square.Side / poseRoom
	for name, k := range w.lead {
		j := p[k]
		if j.Score < leastJoint {
			continue
		}
		x, y := w.clip.Moves[frame].Apply(j.X, j.Y)
		joints[name] = append(joints[name], metrics.Sample{
			Frame: frame, TimeS: w.clip.TimesS[frame], XPx: x, YPx: y,
			VarXX: sd * sd / j.Score, VarYY: sd * sd / j.Score, How: metrics.Seen,
		})
	}
}

// isHitter reports whether enough of a person was seen, with a wrist at the bat's hands.
func isHitter(p pose.Person, hx, hy, reach float64) bool {
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
