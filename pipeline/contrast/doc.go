// Package contrast runs general-purpose trackers of OpenCV (MIL, CSRT, KCF) on
// a clip, so that the project's own tracking has something to be compared with.
// Nothing in the measuring uses it.
//
// In flow a clip, a frame, and the box around the object there; out flow the
// box of every later frame and the processor time that the tracker took for
// it. The trackers get what they were made for: whole pictures in full colour.
//
// Boxes are px of the upright picture as filmed, origin at the top-left corner
// of the top-left pixel, so a centre in the middle of that pixel is (0.5, 0.5)
// here and (0, 0) elsewhere; Centre converts. The trackers know whole pixels
// only. An exception in CSRT and KCF comes back as an error, never as the end of
// the process. Native memory is freed by Close.
package contrast
