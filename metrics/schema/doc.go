// Package schema writes the JSON Schema of metrics.json (draft 2020-12). What
// flows in: the result types of metrics; what flows out: the text of the schema,
// the same bytes for the same types.
//
// Each version of the contract has its file in this folder, named after
// metrics.SchemaVersion. A file that stands here is released and never changes:
// other types need a new version and a new file.
//
// The schema allows fields that it does not know. A minor version only adds
// fields, so that a reader of 1.0 takes a file of 1.1.
package schema
