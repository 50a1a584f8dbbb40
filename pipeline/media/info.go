package media

// Info is what a clip says of itself.
type Info struct {
	// Width and Height of the upright picture with square pixels, px.
	Width, Height int
	// CodedWidth and CodedHeight of the picture as stored, px.
	CodedWidth, CodedHeight int
	// RotateDeg is the clockwise turn that makes the picture upright: 0, 90,
	// 180 or 270.
	RotateDeg int
	// Mirrored: left and right change places after the turn.
	Mirrored bool
	// Codec and PixFmt in ffmpeg's names.
	Codec, PixFmt string
	// FullRange: samples run from 0 to 255 instead of 16 to 235. Frames keep
	// the range of the file.
	FullRange bool
	// Matrix is bt601, bt709 or bt2020; without a tag bt709 when the shorter
	// side has 720 pixels or more, else bt601.
	Matrix string
	// Transfer is the file's tag, such as bt709, arib-std-b67 or smpte2084;
	// empty without one.
	Transfer string
	// ChromaSite is the file's tag, such as left or center; empty without one.
	ChromaSite string
	// FileFPS is the average rate of the file's own times, frames/s.
	FileFPS float64
	// CaptureFPS is the rate at which the camera took the frames, when the
	// file tells (slow-motion clips of some phones); 0 when it does not.
	CaptureFPS float64
	// DurationS is the length by the file's own times, s.
	DurationS float64
	// FramesHint is the number of frames by the container, which edit lists
	// make unreliable; 0 when unknown.
	FramesHint int
	// Endless: the file does not say where it ends, so it may have been cut off
	// between two of its parts.
	Endless bool
	// SizeBytes is the size of the file.
	SizeBytes int64

	demuxer  string
	stream   int
	tbNum    int64
	tbDen    int64
	squareW  int // coded size with square pixels
	squareH  int
	fromRGB  bool
	orientBy turn
}

// Space is the colour space of the decoded frames.
func (i Info) Space() ColourSpace {
	return ColourSpace{Matrix: i.Matrix, FullRange: i.FullRange}
}
