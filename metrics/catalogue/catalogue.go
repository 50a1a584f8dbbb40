package catalogue

import (
	"math"
)

// Metric is a metric of a swing: the number of its row. Rows stand in the order of
// metrics.json.
type Metric int

// Row is what holds for a metric in every swing.
type Row struct {
	// Path is the metric's place in metrics.json, within a swing.
	Path string
	// Unit is s, m, m/s, deg, or 1 for a ratio. The path's last part ends in it.
	Unit string
	// Bounds are what the metric can be. Defaults to any number.
	Bounds Bounds
	// WidestDeg is the width of the 95 % interval from which on an angle counts as not
	// known. Defaults to none.
	WidestDeg float64
	// Moment marks a time counted from contact; other times are lengths of time.
	Moment bool
	Needs  Needs
	Words
}

// Words are what people read about a metric or a key position.
type Words struct {
	// Name is what it is called wherever it is shown.
	Name string
	// Plain is what it tells a coach, How how it is got, each in sentences.
	Plain, How string
	// Frame is where it is measured and what its sign means, in sentences.
	Frame string
	// Never is why it is missing although all that it needs is there: a clause.
	Never string
}

// Bounds are the least and the most that a metric can be; the zero value bounds
// nothing.
type Bounds struct{ Least, Most float64 }

// Clip returns the nearest number within the bounds.
func (b Bounds) Clip(v float64) float64 {
	if b == (Bounds{}) {
		return v
	}
	return min(max(v, b.Least), b.Most)
}

var (
	notNegative = Bounds{0, math.Inf(1)}
	aShare      = Bounds{0, 1}
	aJoint      = Bounds{0, 180} // degrees
)

// Group is a group of metrics: an object in metrics.json, a part of a page.
type Group struct {
	Path  string // of its metrics, up to the first dot
	Title string
	Lead  string // what it is about, in sentences
}

// KeyRow is what holds for a key position in every swing.
type KeyRow struct {
	// Path is its name within keys in metrics.json.
	Path  string
	Needs Needs
	// When says at which instant, in words.
	When string
	Words
}

// What several rows say alike.
const (
	fromContact = "Time from contact: negative before it, positive after it."
	inPlane     = "The plane of the pitch."
	inPicture   = "The picture's plane: what the side view shows, not the angle in space."
	bent        = inPicture + " 180 is straight, smaller is more bent."
	levelAcross = inPicture + " A level distance at the scale of the pitch's plane."

	neverInZone = "the barrel is never near the pitch line and along it"
	neverNear   = "the barrel is never near the pitch line"
	neverAlong  = "the barrel never travels along the pitch line"
	neverMet    = "at no shift of the swing would barrel and ball have met so"
	lostFinish  = "the barrel was lost before the finish"

	// widestElbowDeg is the interval of an elbow's angle that says nothing: the arm
	// points at the camera or is mostly covered.
	widestElbowDeg = 75
)
