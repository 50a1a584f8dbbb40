// Package embed runs queue and store inside this process, for one machine and
// for trying things out: a folder flows in, addresses and credentials flow
// out. It is the only package that knows the servers' code.
//
// Both listen on the loopback only, with credentials made at the first start
// and kept in the folder for the owner alone. What the store confirms is on the
// disk. The store's code changes the process's working directory: paths given
// to anything after Start must be absolute. One at a time a process.
//
// It is no replacement for servers of their own: no other machine, no
// upgrade without a stop.
package embed
