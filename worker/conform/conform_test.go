package conform_test

import (
	"testing"
	"testing/synctest"
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
	conform.QueueSuite(t, lease, func(t *testing.T, check func(*testing.T, conform.Queue, conform.Heard)) {
		synctest.Test(t, func(t *testing.T) {
			q := fake.NewQueue(lease)
			check(t, q, q.Heard)
		})
	})
}
