// Package fence starts child processes that read files of strangers, and takes
// from them what they do not need: of the file system all but what Rules name, the
// network, and every way to act on a process outside.
//
// In goes a command that is ready to start, out comes the running process. The
// fence stands before its first instruction, its loader's included, and all that it
// starts is inside too; what is left of that ends with it, whatever its session. It
// never widens what a process that is fenced already may do, and never restricts the
// calling process itself, but makes it the one to which strays fall.
//
// What holds back what; (6.1) is what Landlock there, its second version, lacks:
//
//	files outside, links, devices, programs        Landlock
//	cutting files short (6.1)                      call list: openat by flags, no truncate
//	modes, owners, times, attributes, locks        call list
//	network, UNIX sockets (6.1)                    call list: no sockets at all
//	control calls to devices (6.1)                 call list: ioctl of terminals' state alone
//	signals (6.1): decoder                         call list: none, but Go's own to the starter's threads
//	signals (6.1): analysis                        call list and Seal: to itself and its children
//	limits, priority, processors of others         call list: process 0, itself, alone
//	tracing, memory of others                      Landlock; call list, which kills
//	System V and POSIX memory, queues, semaphores  call list
//	namespaces, mounts, the kernel's own           call list, which kills; clone by flags
//	number of processes, memory, time, file size   limits, set before the program begins
//	processes that outlive the job                 Start's process adopts them and ends them
//	all of it once more, for a superuser's child   an account of its own, one power kept: CAP_DAC_OVERRIDE
//
// An ordinary account cannot give its children others; for it the lists hold back
// everything that an account would, and the fence is whole. A superuser without the
// powers to change accounts is not: its child would own the superuser's files.
//
// What came with which version of Landlock is told by the kernel's own
// documentation, Documentation/userspace-api/landlock.rst; the kernels' numbers
// beside the versions are from memory.
package fence
