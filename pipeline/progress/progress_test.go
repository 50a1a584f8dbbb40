package progress

import (
	"slices"
	"testing"
)

// told is one call of a Report.
type told struct {
	stage       string
	done, total int
}

// What does not go further than all before is not reported, so that work that turns in
// a circle is silent.
func TestStepsOnlyGoOn(t *testing.T) {
	t.Parallel()
	var got []told
	s := &Steps{Report: func(stage string, done, total int) { got = append(got, told{stage, done, total}) }, Stage: "follow", Total: 25, Every: 10}
	part := s.From(10)
	for _, done := range []int{0, 3, 10, 10, 4, 19, 20, 20, 24, 25, 25} {
		s.Reach(done)
		part(0)
	}
	if want := []told{{"follow", 10, 25}, {"follow", 20, 25}, {"follow", 25, 25}}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	var none *Steps
	none.Reach(1)
	none.From(1)(1)
}
