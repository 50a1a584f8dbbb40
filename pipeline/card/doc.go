// Package card reads what the coach knows. YAML or JSON text flows in, a
// metrics.Card flows out, checked field by field; the session's card of a
// folder is overridden field by field by the card of a clip.
//
// An error names the file, the field by its dotted path and, for an unknown
// key, the nearest key that exists. Lengths are metres, angles degrees, picture
// points pixels of the upright picture. The package reads files only in Load;
// it never looks at the clip.
package card
