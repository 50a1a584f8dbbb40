// Package storm kills workers, queue and store at random moments while clips are
// measured, each a process of its own on the loopback, and counts what became of the
// jobs.
//
// In go the measuring program, a number of clips and a seed; out comes a report: how
// many jobs were committed or failed with a reason, and what must never happen: a job
// that is lost, one with two ends, a bundle that is not whole. Clips are rendered; of
// every six one is cut in half. Servers are found on PATH. The seed fixes clips,
// victims and gaps, not the moments at which a process is at work.
package storm
