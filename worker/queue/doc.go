// Package queue speaks JetStream: jobs flow in and are handed out one at a
// time on a lease, events flow out. It is the only package that knows the
// queue's client. Times are durations of the queue's own clock.
//
//	stream CLIPS   clips.submitted|returned  work queue: a message is gone when it is done
//	stream SWINGS  swings.measured|failed    kept for a time, many readers
//	               swings.progress           forgotten after a minute
//
// A message that was delivered more often than it may be stays in CLIPS,
// undelivered; WatchStuck hears of it. Confirmed messages have reached the
// server's store; whether that is a disk is the server's setting. It never
// prefetches: a message waits in the stream, not in a busy worker.
package queue
