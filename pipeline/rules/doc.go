// Package rules reads the rule set of the findings and their wording. YAML (or JSON)
// text flows in, a checked finding.Set flows out. The built-in set, rules.yaml and
// words.yaml, is part of the program; an academy's own rules take the place of the
// built-in ones, and its words that of the built-in sentences one by one.
//
// An error names the file, the field by its dotted path and, for an unknown key, metric,
// rule or number, the nearest known one. Units are those of metrics.json.
//
// The package reads files only in Load; it never looks at a clip or a result.
package rules
