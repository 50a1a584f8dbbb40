// Package event writes what a worker reports: CloudEvents 1.0 in structured
// JSON mode, one event a message. A typed payload, a job id and a time flow
// in; bytes, a message id and a subject flow out.
//
// An event's id is derived from what it says, so that the same news told twice
// carries the same id. Payloads hold ids and object keys, never pictures; big
// results are named by the dataref extension. Times are UTC, RFC 3339.
package event
