package conform_test

import (
	"testing"
	"time"

	"ashline/worker/conform"
	"ashline/worker/fake"
)

func TestFakeStore(t *testing.T) {
	t.Parallel()
	conform.Store(t, fake.NewStore())
}

func TestFakeQueue(t *testing.T) {
	t.Parallel()
	const lease = 100 * time.Millisecond
	q := fake.NewQueue(lease)
	conform.QueueSuite(t, q, q.Heard, lease)
}
