// Package schema writes the JSON Schema (draft 2020-12) of metrics.json and of the
// comparison of two groups. What flows in: the result types of metrics and
// metrics/change; what flows out: the text of a schema, the same bytes for the same
// types.
//
// Each version of a contract has its file in this folder, named after its
// SchemaVersion. A file that stands here is released and never changes: other types
// need a new version and a new file.
//
// The schema allows fields that it does not know. A minor version only adds
// fields, so that a reader of 1.0 takes a file of 1.1.
package schema
