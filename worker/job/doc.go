// Package job holds what every part of the worker path agrees on: the job a
// message of clips.submitted carries, the rules for keys, ids and subjects that
// come from outside, and the classes of error that decide a message's fate.
//
// A message's bytes flow in, a checked Job flows out; sizes are bytes, times
// are UTC. It touches no file, network or clock, and never lets a key, bucket
// or id through that could leave its folder, forge a subject or split a
// header.
package job
