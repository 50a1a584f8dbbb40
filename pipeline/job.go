package pipeline

import (
	"ashline/pipeline/overlay"
	"ashline/pipeline/progress"
)

// Job is one clip to measure.
type Job struct {
	// Clip is the path of the file.
	Clip string
	// Cards are paths of cards, the later ones overriding the earlier ones field
	// by field. Defaults to the cards beside the clip.
	Cards []string
	// OutDir receives the results; it is made if missing.
	OutDir string
	// Products are the parts of the results that are wanted. Default to all but
	// CleanProduct.
	Products []Product
	// Pace is how fast the overlay shows what is not around contact. Defaults to
	// overlay.SlowPace.
	Pace overlay.Pace
	// PoseDir is the folder of the pose network, a second source of joints. Defaults
	// to none: joints are known by their bands alone.
	PoseDir string
	// Rules and Words are an academy's own rules of the findings, and their wording. Default
	// to the built-in ones.
	Rules, Words string
	// Debug also writes a video of candidates and uncertainty. Defaults to false.
	Debug bool
	// Report is told how far the work has come. Defaults to nobody.
	Report progress.Report
}

// wants reports whether any of the products is asked for.
func (j Job) wants(some ...Product) bool { return wants(j.Products, some...) }
