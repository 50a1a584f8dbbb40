package pipeline

// Report is told how far a stage has come; total 0 means unknown. It may be nil.
type Report func(stage string, done, total int)

func (r Report) at(stage string, done, total int) {
	if r != nil {
		r(stage, done, total)
	}
}
