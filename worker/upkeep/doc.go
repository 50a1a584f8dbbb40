// Package upkeep looks after jobs and hitters by hand: a job's or hitter's id
// flows in, what was removed or submitted again flows out.
//
//	retry   failed ──▶ submitted again under a new id, the failure is taken off
//	drop    waiting, in hand or failed ──▶ gone
//	forget  all objects and messages of a hitter ──▶ gone
//
// Everything may be repeated: what is gone stays gone. Ids are checked before
// anything is asked. It cannot reach into a worker: a job in hand ends by
// itself, and may leave something that a second forget removes.
package upkeep
