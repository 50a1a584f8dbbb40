// Package worker is the life of a job: a message of clips.submitted flows in,
// a committed result bundle and one event flow out. Durations are seconds of
// wall time, sizes bytes; pixels are another process's matter.
//
//	waiting ──take──▶ held ──fetch──▶ ──analyse──▶ ──upload──▶ committed ──event──▶ done
//	   ▲               │                  (child)
//	   │               ├─ bad input, bug ───────────▶ swings.failed ──▶ rejected
//	   ├── later ──────┼─ transient, tries left; or the store lets no end be recorded
//	   │               ├─ transient, no tries left ─▶ swings.failed ──▶ rejected
//	   ├── returned ───┼─ worker shuts down, store away      (costs no attempt)
//	   └── lease over ─┴─ lease lost, worker killed   (nothing is said)
//
// A held message is a lease: a heartbeat at a third of its time extends it, and
// the work is cancelled when it cannot be extended. Every end stands in the store
// before it is told: the bundle's manifest, or under the same key the record of
// the failure (package bundle). Whichever of the two is written first refuses
// the other, however late its worker comes; a later delivery that finds an end
// only tells the news again. Each step is harmless when done twice, so a worker
// may die anywhere. What has no record, for want of a key: the failure of a job
// whose cards cannot be used; of one that does not say its clip's SHA-256 and whose
// clip is not there; and of one that the store has not let be looked at for an hour
// after the last try. Where the store gave an earlier delivery what it does not give
// now, a bundle may stand beside such a failure.
//
// fate.go holds the one table from error class to a message's fate. The package
// never looks into a clip, and logs neither keys nor names.
package worker
