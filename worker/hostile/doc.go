// Package hostile measures what a bad clip can do: it spoils clips on purpose and
// runs each through the child process that workers use.
//
// In go a seed and a number of clips; out comes, for each kind of damage, how many
// were measured, refused with a reason, or stopped by a limit, how many children
// crashed, and what must never happen: a clip that was cut off or is no video and
// was measured all the same, a run past its limits, a file outside of the job's
// own folders, a socket. Memory is resident memory of a child and its decoders,
// bytes. It never touches queue or store, and a finding depends on nothing but
// the seed, the program and the machine's speed.
//
// The boxes that are moved about are those of ISO/IEC 14496-12.
package hostile
