// Package footage holds what a whole clip is to those who read it again: its file and
// description, when each frame was taken, and how the camera moved.
//
// Places are px of the upright picture, origin at the centre of the top-left pixel; a
// frame's move takes them to the first frame, where the picture is steady. Times are s:
// FileS as the file presents frames, TimesS as they were captured, from the first frame.
package footage
