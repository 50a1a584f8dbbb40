// Package store speaks S3: clips and cards flow in, result files out. It is
// the only package that knows the S3 client. Sizes are bytes.
//
// Every transfer is bounded: a connection on which no byte moves for a while is
// cut, requests are retried a few times, bodies carry their MD5. Errors wrap
// job.ErrUnreachable, ErrTransient, ErrNotFound, ErrExists, ErrDenied or
// ErrBadInput. It never replaces through Swap what it was not told of, never lists more
// than it was asked for, and never puts a secret into an error.
package store
