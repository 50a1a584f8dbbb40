package media

// Limits bound what one clip may cost. The zero value of each field means its
// default.
//
// Which of them a long clip meets first hangs on its picture. Decoding H.264 takes about
// 8.5 ms of processor time a frame at 1080p and 5.0 ms at 720p (ffmpeg 5.1 on two
// cores): CPUSeconds ends with 105,000 frames of the one, 7 minutes at 240 frames a
// second, and with 180,000 of the other, and MaxFrames is met by smaller pictures
// alone. None bounds the measuring, which takes some 4 s of processor time a swing:
// whoever runs it bounds its whole time.
type Limits struct {
	// MaxBytes is the largest file, bytes. Defaults to 2 GiB.
	MaxBytes int64
	// MaxPixels is the largest picture, width times height. Defaults to
	// 4096 × 2304.
	MaxPixels int64
	// MaxDurationS is the longest clip, seconds. Defaults to 900.
	MaxDurationS float64
	// MaxFrames is the largest number of frames: what the longest clip holds at 240
	// frames a second, 216,000, and some. It bounds what is kept of each frame; the
	// time that they take is bounded by CPUSeconds. Defaults to 250,000.
	MaxFrames int
	// MemoryBytes is the address space of one child, bytes. Below 500 MiB the
	// libraries alone no longer fit beside a 1080p picture. Defaults to 1 GiB.
	MemoryBytes uint64
	// CPUSeconds is the processor time of one child, which decodes or encodes one
	// video, seconds. Defaults to 900.
	CPUSeconds uint64
}

// maxSide is the largest width or height in pixels, whatever MaxPixels says: a
// picture one pixel high and millions wide is hostile.
const maxSide = 16384

func (l Limits) withDefaults() Limits {
	if l.MaxBytes == 0 {
		l.MaxBytes = 2 << 30
	}
	if l.MaxPixels == 0 {
		l.MaxPixels = 4096 * 2304
	}
	if l.MaxDurationS == 0 {
		l.MaxDurationS = 900
	}
	if l.MaxFrames == 0 {
		l.MaxFrames = 250_000
	}
	if l.MemoryBytes == 0 {
		l.MemoryBytes = 1 << 30
	}
	if l.CPUSeconds == 0 {
		l.CPUSeconds = 900
	}
	return l
}
