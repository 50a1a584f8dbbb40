package steady

import (
	"errors"
	"fmt"
	"image"
	"math"

	"gocv.io/x/gocv"
)

const (
	workWidth  = 640  // px: flow runs on a picture about this wide
	corners    = 80   // followed
	quality    = 0.02 // of the strongest corner
	apartPx    = 18.0 // between corners
	backPx     = 0.5  // forward-and-back error allowed
	inlierPx   = 0.6  // RANSAC threshold, working px
	minCorners = 8
	stillPx    = 0.12 // full-resolution px: below, the camera did not move
	stillRuns  = 12   // still frames before checking only now and then
	checkEvery = 8
)

// ErrSize says that a frame has another size than the follower was made for, which no
// decoder lets happen: a bug.
var ErrSize = errors.New("steady: frame of another size")

// Follower follows the background.
type Follower struct {
	w, h      int
	factor    float64 // full px per working px
	first     gocv.Mat
	from      gocv.Mat // corners in the first frame
	at        gocv.Mat // where they were last
	criteria  gocv.TermCriteria
	frames    int
	stillRun  int
	last      Transform
	lost      int
	Inliers   int // of the newest fit
	blind     bool
	scratch   gocv.Mat
	backMat   gocv.Mat
	status    gocv.Mat
	statBack  gocv.Mat
	errMat    gocv.Mat
	emptyMask gocv.Mat
}

// NewFollower makes a follower for frames of w × h px.
func NewFollower(w, h int) *Follower {
	f := &Follower{
		w: w, h: h, factor: math.Max(1, math.Round(float64(w)/workWidth)), last: Still,
		criteria: gocv.NewTermCriteria(gocv.Count+gocv.EPS, 20, 0.01),
	}
	for _, m := range f.mats() {
		*m = gocv.NewMat()
	}
	return f
}

func (f *Follower) mats() []*gocv.Mat {
	return []*gocv.Mat{&f.first, &f.from, &f.at, &f.scratch, &f.backMat, &f.status, &f.statBack, &f.errMat, &f.emptyMask}
}

// Close frees what OpenCV holds.
func (f *Follower) Close() {
	for _, m := range f.mats() {
		m.Close()
	}
}

// Lost counts the frames in which the background could not be followed.
func (f *Follower) Lost() int { return f.lost }

// Add takes the next frame's luma plane and returns its transform.
func (f *Follower) Add(luma []uint8) (Transform, error) {
	if len(luma) != f.w*f.h {
		return Still, fmt.Errorf("%w: %d samples, not %d", ErrSize, len(luma), f.w*f.h)
	}
	n := f.frames
	f.frames++
	if n > 0 && (f.blind || (f.stillRun >= stillRuns && n%checkEvery != 0)) {
		return f.last, nil
	}
	src, err := gocv.NewMatFromBytes(f.h, f.w, gocv.MatTypeCV8U, luma)
	if err != nil {
		return Still, fmt.Errorf("steady: %w", err)
	}
	defer src.Close()
	size := image.Pt(int(float64(f.w)/f.factor), int(float64(f.h)/f.factor))
	if n == 0 {
		gocv.Resize(src, &f.first, size, 0, 0, gocv.InterpolationArea)
		gocv.GoodFeaturesToTrack(f.first, &f.from, corners, quality, apartPx)
		f.blind = f.from.Rows() < minCorners
		if !f.blind {
			f.from.CopyTo(&f.at)
		}
		return Still, nil
	}
	gocv.Resize(src, &f.scratch, size, 0, 0, gocv.InterpolationArea)
	t, ok := f.fit()
	if !ok {
		f.lost++
		return f.last, nil
	}
	moved := t.Moved(f.w, f.h)
	if moved < stillPx {
		f.stillRun++
	} else {
		f.stillRun = 0
	}
	f.last = t
	return t, nil
}

const useInitialFlow = 4 // OPTFLOW_USE_INITIAL_FLOW

func (f *Follower) fit() (Transform, bool) {
	win := image.Pt(15, 15)
	gocv.CalcOpticalFlowPyrLKWithParams(f.first, f.scratch, f.from, f.at, &f.status, &f.errMat, win, 3, f.criteria, useInitialFlow, 1e-4)
	f.from.CopyTo(&f.backMat)
	gocv.CalcOpticalFlowPyrLKWithParams(f.scratch, f.first, f.at, f.backMat, &f.statBack, &f.errMat, win, 3, f.criteria, useInitialFlow, 1e-4)
	var here, there []gocv.Point2f
	for i := range f.from.Rows() {
		if f.status.GetUCharAt(i, 0) == 0 || f.statBack.GetUCharAt(i, 0) == 0 {
			continue
		}
		p, q, b := f.from.GetVecfAt(i, 0), f.at.GetVecfAt(i, 0), f.backMat.GetVecfAt(i, 0)
		if math.Hypot(float64(p[0]-b[0]), float64(p[1]-b[1])) > backPx {
			continue
		}
		here = append(here, gocv.Point2f{X: q[0], Y: q[1]})
		there = append(there, gocv.Point2f{X: p[0], Y: p[1]})
	}
	if len(here) < minCorners {
		return Still, false
	}
	from, to := gocv.NewPoint2fVectorFromPoints(here), gocv.NewPoint2fVectorFromPoints(there)
	defer from.Close()
	defer to.Close()
	inliers := gocv.NewMat()
	defer inliers.Close()
	m := gocv.EstimateAffine2DWithParams(from, to, inliers, int(gocv.HomograpyMethodRANSAC), inlierPx, 500, 0.99, 10)
	defer m.Close()
	if m.Empty() || m.Rows() != 2 || m.Cols() != 3 {
		return Still, false
	}
	f.Inliers = gocv.CountNonZero(inliers)
	t := Transform{
		XX: m.GetDoubleAt(0, 0), XY: m.GetDoubleAt(0, 1), TX: m.GetDoubleAt(0, 2),
		YX: m.GetDoubleAt(1, 0), YY: m.GetDoubleAt(1, 1), TY: m.GetDoubleAt(1, 2),
	}
	det := t.XX*t.YY - t.XY*t.YX
	if 2*f.Inliers < len(here) || !(det > 0.5 && det < 2) {
		return Still, false
	}
	return f.full(t), true
}

// full turns a transform of working px into one of full px; area averaging puts
// the centre of working pixel i at factor·i + (factor−1)/2.
func (f *Follower) full(t Transform) Transform {
	o := (f.factor - 1) / 2
	ox, oy := t.Apply(-o, -o)
	t.TX, t.TY = 0, 0
	lx, ly := t.Apply(-o, -o)
	// x' = F·(T((x − o)/F)) + o with T's linear part unchanged.
	t.TX = f.factor*(ox-lx) + lx + o
	t.TY = f.factor*(oy-ly) + ly + o
	return t
}
