// Package conform is the one test suite that every queue and every store of
// the worker path passes, in memory or over a network. A constructor flows in,
// test failures flow out. Waits are bounded by the test's own deadline; no
// test sleeps.
package conform
