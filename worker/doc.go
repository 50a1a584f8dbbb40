// Package worker is the life of a job: a message of clips.submitted flows in,
// a committed result bundle and one event flow out. Durations are seconds of
// wall time, sizes bytes; pixels are another process's matter.
//
//	waiting ──take──▶ held ──fetch──▶ ──analyse──▶ ──upload──▶ committed ──event──▶ done
//	   ▲               │                  (child)
//	   │               ├─ bad input, bug ───────────▶ swings.failed ──▶ rejected
//	   ├── later ──────┼─ transient, tries left
//	   │               ├─ transient, no tries left ─▶ swings.failed ──▶ rejected
//	   ├── returned ───┼─ worker shuts down                  (costs no attempt)
//	   └── lease over ─┴─ lease lost, worker killed   (nothing is said)
//
// A held message is a lease: a heartbeat at a third of its time extends it, and
// the work is cancelled when it cannot be extended. The bundle's manifest is
// the commit; a later delivery that finds it only tells the news again. Each
// step is harmless when done twice, so a worker may die anywhere. Whoever tells
// the end of a submission first is heard, and a job is looked up once more
// before it is given up. What is not promised: a manifest on its way to the
// store for longer than the store lets a connection stand still may land after
// the failure was told; it is found when the clip is submitted again.
//
// fate.go holds the one table from error class to a message's fate. The package
// never looks into a clip, and logs neither keys nor names.
package worker
