// Package bounds is for tests: it holds one call to a measure of memory, in bytes that
// it allocates over all, and of work, in seconds of processor time of its own thread.
// Both are the call's own doing: unlike the time on a clock they do not grow with what
// else the machine does. Fuzz targets use it, since input that never makes a parser
// panic may still make it take gigabytes, or for ever.
package bounds
