package report

import (
	"ashline/metrics"
)

// Page is what a report is made of.
type Page struct {
	Result metrics.Result
	// Swings belong to Result.Swings, one each; one that could not be measured is
	// the zero value.
	Swings []Swing
	// Video is the clip's overlay. Defaults to none.
	Video Video
}

// Swing is what a page knows of one swing beside its metrics.
type Swing struct {
	// Path is the swing in the plane of the pitch. Without points the plots say why.
	Path metrics.PlanePath
	// Marks are what the video shows of it, in the order in which it is shown.
	Marks []Mark
	// Stills are pictures of its key positions, in their order.
	Stills []Still
}

// Mark is a place in the video to go to.
type Mark struct {
	Name  string  // launch, slot, lag, contact, zone or finish
	TimeS float64 // from contact
	// Frame is the frame of the video that shows it first, Until one past the last
	// that does; for an instant it is not used.
	Frame, Until int
}

// Still is a picture of a key position.
type Still struct {
	Name  string
	TimeS float64 // from contact
	File  string  // relative to the page, with slashes
}

// Video is the video of a page.
type Video struct {
	File          string  // relative to the page, with slashes; empty for none
	FPS           float64 // frames shown a second
	Frames        int
	Width, Height int // px
}
