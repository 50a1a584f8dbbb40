// Package fence starts child processes that read files of strangers, and takes
// from them what they do not need: of the file system all but what Rules name,
// the network, and a look at or a signal to any process outside.
//
// In goes a command that is ready to start, out comes the running process. The
// fence stands before its first instruction, its loader's included, and all that
// it starts is inside too. It is made of Landlock, a seccomp filter and fewer
// powers for a superuser's process; what a kernel lacks is left out, and Support
// says so. Memory and time are bounded by whoever starts the process. It never
// widens what a process that is fenced already may do, and it never restricts
// the calling process itself.
//
// What came with which version of Landlock is told by the kernel's own
// documentation, Documentation/userspace-api/landlock.rst; the kernels' numbers
// beside the versions are from memory.
package fence
