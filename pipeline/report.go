package pipeline

// Report is told how far a stage has come; total 0 means unknown. It may be nil.
type Report func(stage string, done, total int)

func (r Report) at(stage string, done, total int) {
	if r != nil {
		r(stage, done, total)
	}
}

// steps counts what is done in one stage, and reports what goes further than all before
// it: work that turns in a circle reports nothing. A nil one counts nothing.
type steps struct {
	report Report
	stage  string
	total  int
	every  int // steps that are worth a report
	done   int
}

// reach says that so much is done.
func (s *steps) reach(done int) {
	if s == nil || done <= s.done || done < s.total && done < s.done+s.every {
		return
	}
	s.done = done
	s.report.at(s.stage, done, s.total)
}

// from tells what is done of a part, in which base was done before it.
func (s *steps) from(base int) func(done int) {
	return func(done int) { s.reach(base + done) }
}
