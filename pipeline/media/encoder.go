package media

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"

	"ashline/pipeline/outfile"
)

// EncodeOptions choose how a clip is written.
type EncodeOptions struct {
	// CRF is x264's constant quality, lower is better and larger. Defaults to
	// 20.
	CRF int
	// Preset is x264's trade of time for size. Defaults to veryfast.
	Preset string
	// Matrix of the frames: bt601, bt709 or bt2020. Defaults to bt709.
	Matrix string
	// FullRange: the frames use all of 0 to 255. The file then says so too.
	FullRange bool
	// Transfer is the tag of the transfer function, as Info has it. Defaults
	// to bt709.
	Transfer string
	// Threads of the encoder. Defaults to ffmpeg's own choice.
	Threads int
	// Limits bound the child. Here MemoryBytes defaults to 2 GiB, which x264
	// needs for its look-ahead at 3840 × 2160, and only CPUSeconds counts
	// besides.
	Limits Limits
}

// Encoder writes frames to an H.264 file that browsers and phones play: 4:2:0,
// the index in front. A picture with an odd side loses its last row or column.
type Encoder struct {
	path  string
	w, h  int
	child *child
	pipe  *os.File
	err   error
}

// NewEncoder starts writing a clip of w × h frames at fps frames a second to
// path, over whatever is there.
func NewEncoder(ctx context.Context, path string, w, h int, fps float64, o EncodeOptions) (*Encoder, error) {
	if w < 2 || h < 2 || w > maxSide || h > maxSide {
		return nil, fmt.Errorf("%w: %d × %d cannot be encoded", ErrFrameSize, w, h)
	}
	if !(fps >= 0.1 && fps <= 10_000) {
		return nil, fmt.Errorf("media: encode: %g frames/s", fps)
	}
	// Found out here, a missing folder or a link is named; the child would fail, or follow it.
	if err := probeOutput(path); err != nil {
		return nil, err
	}
	r, pipe, err := widePipe()
	if err != nil {
		return nil, err
	}
	l := o.Limits
	if l.MemoryBytes == 0 {
		l.MemoryBytes = 2 << 30
	}
	l = l.withDefaults()
	c, err := startChild(ctx, coder, path, encodeArgs(path, w, h, fps, o), l, streams{stdin: r, writes: true})
	r.Close()
	if err != nil {
		pipe.Close()
		return nil, err
	}
	return &Encoder{path: path, w: w, h: h, child: c, pipe: pipe}, nil
}

func probeOutput(path string) error {
	f, err := outfile.Create(path)
	if err != nil {
		return fmt.Errorf("media: encode: %w", err)
	}
	return f.Close()
}

func encodeArgs(path string, w, h int, fps float64, o EncodeOptions) []string {
	crf, preset := o.CRF, o.Preset
	if crf == 0 {
		crf = 20
	}
	if preset == "" {
		preset = "veryfast"
	}
	matrix, primaries := "bt709", "bt709"
	switch o.Matrix {
	case "bt601":
		matrix = "smpte170m"
	case "bt2020":
		matrix, primaries = "bt2020nc", "bt2020"
	}
	transfer := o.Transfer
	if transfer == "" {
		transfer = "bt709"
	}
	colours := "tv"
	if o.FullRange {
		colours = "pc"
	}
	args := []string{
		"-v", "error", "-nostdin", "-protocol_whitelist", "file,pipe",
		"-f", "rawvideo", "-pix_fmt", "yuv420p", "-color_range", colours,
		"-video_size", fmt.Sprintf("%dx%d", w, h), "-framerate", strconv.FormatFloat(fps, 'f', -1, 64),
		"-i", "pipe:0", "-an",
	}
	if w%2 == 1 || h%2 == 1 {
		args = append(args, "-vf", fmt.Sprintf("crop=%d:%d:0:0", w&^1, h&^1))
	}
	if o.Threads > 0 {
		args = append(args, "-threads", strconv.Itoa(o.Threads))
	}
	return append(args,
		"-c:v", "libx264", "-preset", preset, "-crf", strconv.Itoa(crf), "-pix_fmt", "yuv420p",
		"-color_range", colours, "-colorspace", matrix, "-color_primaries", primaries, "-color_trc", transfer,
		// A place to jump to twice a second: people scrub these clips.
		"-g", strconv.Itoa(max(1, int(fps/2))),
		"-movflags", "+faststart", "-map_metadata", "-1", "-fflags", "+bitexact", "-flags:v", "+bitexact",
		"-f", "mp4", "-y", "file:"+path)
}

// Write appends one frame. After an error the clip is lost; Close tells why.
func (e *Encoder) Write(f *Frame) error {
	if e.err != nil {
		return e.err
	}
	if e.child == nil {
		return fmt.Errorf("media: encoder is closed: %w", os.ErrClosed)
	}
	if f.W != e.w || f.H != e.h || !f.whole() {
		return fmt.Errorf("%w: %d × %d, want %d × %d", ErrFrameSize, f.W, f.H, e.w, e.h)
	}
	for _, plane := range [][]byte{f.Y, f.U, f.V} {
		if _, err := e.pipe.Write(plane); err != nil {
			// The child went away; its own words say why.
			e.err = e.finish()
			if e.err == nil {
				e.err = fmt.Errorf("%w: write frame: %w", ErrChild, err)
			}
			return e.err
		}
	}
	return nil
}

// Close finishes the file. On an error no file is left behind. Calling it again
// returns the same.
func (e *Encoder) Close() error {
	if e.child != nil {
		e.err = e.finish()
	}
	return e.err
}

// Abort gives the clip up and removes what was written. It does nothing after
// Close.
func (e *Encoder) Abort() {
	if e.child == nil {
		return
	}
	_ = e.child.stop()
	e.child = nil
	e.pipe.Close()
	e.err = fmt.Errorf("media: encoder was aborted: %w", os.ErrClosed)
	e.remove()
}

func (e *Encoder) finish() error {
	c := e.child
	e.child = nil
	e.pipe.Close()
	err := c.wait(ErrChild)
	if err != nil {
		e.remove()
	}
	return err
}

// remove deletes an unfinished file, and only a file.
func (e *Encoder) remove() {
	if st, err := os.Lstat(e.path); err == nil && st.Mode().IsRegular() {
		if err := os.Remove(e.path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			e.err = errors.Join(e.err, err)
		}
	}
}
