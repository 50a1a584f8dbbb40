package worker

import "time"

const (
	// turnSlack is what a step of a worker's own loop may take beyond what it is
	// allowed: far more than a machine under load does.
	turnSlack = 30 * time.Second
	// nextWindow is for how long a loop waits for a job before it turns again.
	nextWindow = time.Minute
)

// turn is what one of a worker's loops is at.
type turn struct {
	hands *hands
	job   bool
	since time.Time
	due   time.Time // when it must be at something else
}

// newTurn begins to watch a loop, which is at something short.
func (h *hands) newTurn() *turn {
	h.mu.Lock()
	defer h.mu.Unlock()
	t := &turn{hands: h}
	h.turns[t] = struct{}{}
	t.set(false, turnSlack)
	return t
}

// allow says that the loop is from now on at something that may take so long.
func (t *turn) allow(d time.Duration) {
	t.hands.mu.Lock()
	defer t.hands.mu.Unlock()
	t.set(false, d+turnSlack)
}

// take says that the loop has a job in hand, which must end by its deadline.
func (t *turn) take(deadline time.Duration) {
	t.hands.mu.Lock()
	defer t.hands.mu.Unlock()
	t.set(true, deadline)
}

// set is for whoever holds the lock.
func (t *turn) set(job bool, d time.Duration) {
	t.job, t.since = job, t.hands.now()
	t.due = t.since.Add(d)
}

// end says that there is no loop any more.
func (t *turn) end() {
	t.hands.mu.Lock()
	defer t.hands.mu.Unlock()
	delete(t.hands.turns, t)
}

// jobAge is that of the job that has been in hand for longest.
func (h *hands) jobAge() time.Duration {
	h.mu.Lock()
	defer h.mu.Unlock()
	var oldest time.Duration
	for t := range h.turns {
		if t.job {
			oldest = max(oldest, h.now().Sub(t.since))
		}
	}
	return oldest
}

// overdue is by how much the loop that hangs for longest is late; 0 when none is.
func (h *hands) overdue() time.Duration {
	h.mu.Lock()
	defer h.mu.Unlock()
	var longest time.Duration
	for t := range h.turns {
		longest = max(longest, h.now().Sub(t.due))
	}
	return longest
}
