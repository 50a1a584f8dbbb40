package metrics

// Progress is told how much of the work is done, of how much in all. What it is told
// grows with every call, so that work that turns in a circle tells nothing.
type Progress func(done, total int)

// The steps of measuring one swing: its joints, the paths in the picture, the bat in
// space, the swing as a whole, and then the random motions, some a step.
const (
	stepLimbs = 1 + iota
	stepPaths
	stepBat
	stepCourse

	drawsPerStep = 10
	swingSteps   = stepCourse + drawsPerSwing/drawsPerStep
)

// progress counts the steps of a clip.
type progress struct {
	done, total int
	tell        Progress
}

// reach says that so many steps are done; what does not go further is not told.
func (p *progress) reach(done int) {
	if done <= p.done {
		return
	}
	p.done = done
	if p.tell != nil {
		p.tell(p.done, p.total)
	}
}
