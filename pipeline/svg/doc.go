// Package svg writes the drawings of pipeline/guide and the plots of pipeline/plot as
// SVG 1.1 (W3C): lines, circles, arrows and texts in, one file out, the same bytes
// each time. Places are px of the file, y down; a drawing scales to any size.
//
// Hues stand for the same thing in every drawing, differ for people with the common
// kinds of colour blindness, and never alone: lines differ in width or dashes too.
// Texts come from outside, so that nothing in them ends an element, breaks the file
// or turns the direction of what stands beside them.
//
// It uses no style sheet, script or link, so that a page may hold a drawing under the
// strictest policy.
package svg
