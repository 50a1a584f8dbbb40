// Package settings says where queue and store are: flags, environment and a
// file flow in, in this order of precedence, open connections flow out. A
// secret is never given as a flag or a variable, only as the name of a file
// that holds it.
package settings
