// Package bench measures the measuring: it renders seeded scenes whose truth is
// known, runs the pipeline on the files as on any clip, and tabulates the
// errors. Seeds and families flow in, a table flows out (px, degrees, ms, m).
//
// The truth comes from package scene, which shares no computing with what is
// measured here. Seeds below 1000 are for tuning; reported figures use seeds
// from 1000.
package bench
