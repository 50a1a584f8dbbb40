package progress

// Report is told how far a stage has come; total 0 means unknown. It may be nil.
type Report func(stage string, done, total int)

// At tells the report; a nil one is told nothing.
func (r Report) At(stage string, done, total int) {
	if r != nil {
		r(stage, done, total)
	}
}

// Steps counts what is done in one stage and reports only what goes further. A nil one
// counts nothing.
type Steps struct {
	Report Report
	Stage  string
	Total  int
	Every  int // steps that are worth a report
	done   int
}

// Reach says that so much is done.
func (s *Steps) Reach(done int) {
	if s == nil || done <= s.done || done < s.Total && done < s.done+s.Every {
		return
	}
	s.done = done
	s.Report.At(s.Stage, done, s.Total)
}

// From tells what is done of a part that begins after base steps.
func (s *Steps) From(base int) func(done int) {
	return func(done int) { s.Reach(base + done) }
}
