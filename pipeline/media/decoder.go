package media

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
)

// Options choose what is decoded.
type Options struct {
	// StartS and EndS are the first and last presentation time wanted, s, both
	// included. EndS 0 means the end of the clip. Default to the whole clip.
	StartS, EndS float64
	// Times are the presentation times of all frames of the clip, as Times
	// returns them. They serve to number the frames when StartS is given;
	// Open reads them itself when they are missing. Defaults to none.
	Times []float64
	// Threads of the decoder. Defaults to 1.
	Threads int
	// Limits bound the child.
	Limits Limits
}

// slackS is how far outside StartS and EndS a frame's time may lie, so that a
// time which was rounded on its way, to JSON say, still means its frame.
const slackS = 20e-6

// Decoder hands out the frames of a clip, one after the other. It is not safe
// for concurrent use, except that cancelling its context ends it.
type Decoder struct {
	info   Info
	limits Limits
	child  *child
	frames *os.File
	stamps *os.File
	lines  *bufio.Reader
	times  []float64
	next   int     // frames handed out
	part   bool    // only a part of the clip is wanted, which may hold no frame
	lastS  float64 // time of the frame before
	err    error   // what every further call of Next returns
}

// Open starts decoding the clip at path, which info describes.
func Open(ctx context.Context, path string, info Info, o Options) (*Decoder, error) {
	l := o.Limits.withDefaults()
	if info.demuxer == "" {
		return nil, fmt.Errorf("media: open %q: the description does not come from Probe", path)
	}
	if err := l.check(info); err != nil {
		return nil, err
	}
	if o.EndS != 0 && o.EndS < o.StartS {
		return nil, fmt.Errorf("media: open %q: end %g s lies before start %g s", path, o.EndS, o.StartS)
	}
	d := &Decoder{info: info, limits: l, lastS: math.Inf(-1), part: o.StartS > 0 || o.EndS != 0}
	if o.StartS > 0 {
		d.times = o.Times
		if d.times == nil {
			var err error
			if d.times, err = Times(ctx, path, info, l); err != nil {
				return nil, err
			}
		}
	}
	frames, framesW, err := widePipe()
	if err != nil {
		return nil, err
	}
	stamps, stampsW, err := os.Pipe()
	if err != nil {
		frames.Close()
		framesW.Close()
		return nil, fmt.Errorf("%w: pipe: %w", ErrChild, err)
	}
	d.frames, d.stamps, d.lines = frames, stamps, bufio.NewReader(stamps)
	d.child, err = startChild(ctx, coder, path, decodeArgs(path, info, o, l),
		l, streams{stdout: framesW, extra: stampsW})
	framesW.Close()
	stampsW.Close()
	if err != nil {
		d.closePipes()
		return nil, err
	}
	return d, nil
}

func decodeArgs(path string, info Info, o Options, l Limits) []string {
	args := []string{"-v", "error", "-nostdin", "-xerror"}
	args = append(args, inputFence(info.demuxer, l)...)
	args = append(args, "-threads", strconv.Itoa(max(o.Threads, 1)), "-noautorotate", "-copyts")
	if o.StartS > 0 {
		// The seek lands on the key frame before; the trim filter then drops
		// frames by their time. ffmpeg's own accurate seek counts from another
		// origin when the first frame's time is not zero.
		args = append(args, "-seek_timestamp", "1", "-ss", micros(o.StartS), "-noaccurate_seek")
	}
	args = append(args, "-i", "file:"+path,
		"-map", "0:"+strconv.Itoa(info.stream),
		"-vf", filters(info, o),
		"-filter_threads", "1",
		"-fps_mode", "passthrough",
		"-f", "rawvideo", "pipe:1")
	return args
}

// filters is the chain from the decoder to the pipe. The size is stated though
// it rarely changes anything: a clip that changes its size midway would
// otherwise change the size of the frames.
func filters(info Info, o Options) string {
	var chain []string
	if o.StartS > 0 || o.EndS != 0 {
		// In the stream's own units; the filter would round seconds.
		trim := fmt.Sprintf("trim=start_pts=%.0f", math.Ceil(info.ticks(o.StartS-slackS)))
		if o.EndS != 0 {
			trim += fmt.Sprintf(":end_pts=%.0f", math.Floor(info.ticks(o.EndS+slackS))+1)
		}
		chain = append(chain, trim)
	}
	scale := fmt.Sprintf("scale=%d:%d", info.squareW, info.squareH)
	if info.fromRGB {
		scale += ":out_color_matrix=bt709:out_range=tv"
	}
	// The two formats hold the same bytes; the name tells the scaler to leave
	// the range alone.
	format := "format=yuv420p"
	if info.FullRange {
		format = "format=yuvj420p"
	}
	chain = append(chain, scale, format)
	if f := info.orientBy.filter(); f != "" {
		chain = append(chain, f)
	}
	// Printing needs some entry to print. It is written before the frame is,
	// so reading it after the frame never waits.
	chain = append(chain, "metadata=mode=add:key=k:value=v", `metadata=mode=print:direct=1:file='pipe\:3'`)
	return strings.Join(chain, ",")
}

func micros(s float64) string { return strconv.FormatFloat(s, 'f', 6, 64) }

// Next decodes the next frame into f, whose buffers are used again. It returns
// io.EOF after the last frame of a whole clip, and ErrBroken when the clip is
// cut off or damaged.
func (d *Decoder) Next(f *Frame) error {
	if d.err == nil {
		d.err = d.read(f)
	}
	return d.err
}

func (d *Decoder) read(f *Frame) error {
	f.Resize(d.info.Width, d.info.Height)
	for i, plane := range [][]byte{f.Y, f.U, f.V} {
		_, err := io.ReadFull(d.frames, plane)
		switch {
		case err == nil:
		case errors.Is(err, io.EOF) && i == 0:
			return d.finish()
		case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
			if err := d.finish(); !errors.Is(err, io.EOF) {
				return err
			}
			return fmt.Errorf("%w: the last frame is not whole", ErrBroken)
		default:
			return fmt.Errorf("%w: read frame: %w", ErrChild, err)
		}
	}
	t, err := d.stamp()
	if err != nil {
		return err
	}
	f.TimeS, f.Index = t, d.next
	if d.times != nil {
		f.Index = nearest(d.times, t)
	}
	if err := d.limits.checkFrames(d.next + 1); err != nil {
		return err
	}
	d.next++
	d.lastS = t
	return nil
}

// finish learns from the child how the clip ended.
func (d *Decoder) finish() error {
	c := d.child
	d.child = nil
	d.closePipes()
	if err := c.wait(ErrBroken); err != nil {
		return err
	}
	// Some demuxers take a cut file for a short one and only mention it.
	if c.tail.has("File ended prematurely", "partial file", "corrupt input packet") {
		return fmt.Errorf("%w: %s", ErrBroken, c.tail.reason(c.path))
	}
	if d.next == 0 && !d.part {
		return fmt.Errorf("%w: no frame could be decoded", ErrBroken)
	}
	return io.EOF
}

// stamp reads the time of one frame: a line "frame:7 pts:3584 pts_time:0.2333"
// and the line of the entry. pts counts in the stream's own units and is exact;
// pts_time has six digits and only checks the units.
func (d *Decoder) stamp() (float64, error) {
	line, err := d.lines.ReadString('\n')
	if err == nil {
		_, err = d.lines.ReadString('\n')
	}
	if err != nil {
		return 0, fmt.Errorf("%w: frame %d came without a time", ErrBroken, d.next)
	}
	var t, rough float64
	for field := range strings.FieldsSeq(line) {
		name, value, _ := strings.Cut(field, ":")
		switch name {
		case "pts":
			var pts int64
			if pts, err = strconv.ParseInt(value, 10, 64); err != nil {
				return 0, fmt.Errorf("%w: frame %d has no time", ErrBroken, d.next)
			}
			t = d.info.seconds(pts)
		case "pts_time":
			if rough, err = strconv.ParseFloat(value, 64); err != nil {
				return 0, fmt.Errorf("%w: frame %d has no time", ErrBroken, d.next)
			}
		}
	}
	if math.Abs(t-rough) > 1e-5*max(1, math.Abs(t)) {
		return 0, fmt.Errorf("%w: frame %d is at %g s and at %g s", ErrBroken, d.next, t, rough)
	}
	if t <= d.lastS {
		return 0, fmt.Errorf("%w: frame %d at %g s is not later than the one before", ErrBroken, d.next, t)
	}
	return t, nil
}

// Close ends the child, wherever it is, and frees the pipes. It is safe to call
// more than once.
func (d *Decoder) Close() error {
	if d.child != nil {
		_ = d.child.stop()
		d.child = nil
		d.closePipes()
	}
	if d.err == nil {
		d.err = fmt.Errorf("media: decoder is closed: %w", os.ErrClosed)
	}
	return nil
}

func (d *Decoder) closePipes() {
	d.frames.Close()
	d.stamps.Close()
}
