package fit

import "math"

// Solver lessens a weighted sum of squares by damped Gauss–Newton steps (Levenberg,
// Quart. Appl. Math. 2 (1944) 164; Marquardt, J. SIAM 11 (1963) 431) and has the
// weights set anew between them, so that what lies off loses its say.
type Solver struct {
	// Rounds is the most rounds, each of one set of weights and one step.
	Rounds int
	// Settle is the number of rounds that are done in any case: while weights still
	// tighten, a step that gains nothing ends nothing.
	Settle int
	// Gain is the share of the sum that a step must gain for another to follow; 0
	// leaves the end to the task.
	Gain float64
	// Damp is the first damping and LeastDamp the least that one round hands to the
	// next; with 0 for LeastDamp each round begins with Damp.
	Damp, LeastDamp float64
}

const (
	dampStep = 10.0 // from one damping to the next
	dampMost = 1e4  // beyond which a step is too short to matter
	dampBack = 1.0  // the most that a round takes over from the one before
	dampOnce = 1e-3 // the first damping after an undamped step that gained nothing
)

// Task is a sum of squares to lessen.
type Task interface {
	// Reweigh sets the weights of a round.
	Reweigh(round int)
	// Cost is the weighted sum of squares.
	Cost() float64
	// Step moves the unknowns, each diagonal of the normal equations raised by the
	// factor 1 + damp; false when there is no such step, and then nothing moved.
	Step(damp float64) bool
	// Undo takes the last step back.
	Undo()
	// Settled reports that the last step was so short that none need follow.
	Settled() bool
}

// Descend runs the rounds. It reports whether they came to rest.
func (s Solver) Descend(t Task) bool {
	damp := s.Damp
	for round := range s.Rounds {
		t.Reweigh(round)
		cost := t.Cost()
		var gain float64
		gain, damp = s.step(t, cost, damp)
		if round >= s.Settle && (gain <= s.Gain*cost || t.Settled()) {
			return true
		}
	}
	return false
}

// step takes the least damped step that lessens the cost, and says by how much.
func (s Solver) step(t Task, cost, damp float64) (gain, next float64) {
	damp = math.Min(damp, dampBack)
	if s.LeastDamp == 0 {
		damp = s.Damp
	}
	for damp < dampMost {
		if t.Step(damp) {
			if c := t.Cost(); c < cost {
				return cost - c, math.Max(s.LeastDamp, damp/dampStep)
			}
			t.Undo()
		}
		if damp == 0 {
			damp = dampOnce
		} else {
			damp *= dampStep
		}
	}
	return 0, damp
}
