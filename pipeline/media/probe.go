package media

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
)

// maxProbeBytes bounds ffprobe's answer; a hostile file may hold any number of
// streams and tags.
const maxProbeBytes = 4 << 20

// Probe reads what the clip at path says of itself, without decoding it. The
// error is ErrNotVideo, ErrTooLarge or ErrBroken when the file is to blame.
func Probe(ctx context.Context, path string, l Limits) (Info, error) {
	l = l.withDefaults()
	demuxer, size, ends, err := openClip(path, l)
	if err != nil {
		return Info{}, err
	}
	args := append([]string{"-v", "error"}, inputFence(demuxer, l)...)
	args = append(args, "-threads", "1", "-select_streams", "v", "-show_streams", "-show_format",
		"-print_format", "json=compact=1", "file:"+path)
	out, said, err := ask(ctx, path, args, l, maxProbeBytes)
	if err != nil {
		return Info{}, err
	}
	var a answer
	if err := json.Unmarshal(out, &a); err != nil {
		return Info{}, fmt.Errorf("%w: its description cannot be read: %w", ErrBroken, err)
	}
	info, err := a.info()
	if errors.Is(err, errNoPicture) { // ffprobe ends well though it refused to look at one
		err = cmp.Or(said.overSize(l), err)
	}
	if err != nil {
		return Info{}, err
	}
	info.SizeBytes, info.demuxer, info.Endless = size, demuxer, !ends
	return info, l.check(info)
}

// errNoPicture means: the file names a video stream of which nothing is known.
var errNoPicture = fmt.Errorf("%w: no picture of the stream could be read", ErrBroken)

// ask runs one ffprobe and returns what it prints, at most limit
// bytes, and what it says of the file beside that.
func ask(ctx context.Context, path string, args []string, l Limits, limit int64) ([]byte, *tail, error) {
	r, w, err := os.Pipe()
	if err != nil {
		return nil, nil, fmt.Errorf("%w: pipe: %w", ErrChild, err)
	}
	defer r.Close()
	c, err := startChild(ctx, prober, path, args, l, streams{stdout: w})
	w.Close()
	if err != nil {
		return nil, nil, err
	}
	out, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil || int64(len(out)) > limit {
		_ = c.stop()
		return nil, nil, fmt.Errorf("%w: its description is longer than %d bytes", ErrBroken, limit)
	}
	if err := c.wait(ErrBroken); err != nil {
		return nil, nil, err
	}
	return out, c.tail, nil
}

// answer is the part of ffprobe's output that is used.
type answer struct {
	Streams []stream `json:"streams"`
	Format  struct {
		Duration string            `json:"duration"`
		Tags     map[string]string `json:"tags"`
	} `json:"format"`
}

type stream struct {
	Index       int               `json:"index"`
	Codec       string            `json:"codec_name"`
	Width       int               `json:"width"`
	Height      int               `json:"height"`
	PixFmt      string            `json:"pix_fmt"`
	Range       string            `json:"color_range"`
	Matrix      string            `json:"color_space"`
	Transfer    string            `json:"color_transfer"`
	ChromaSite  string            `json:"chroma_location"`
	Aspect      string            `json:"sample_aspect_ratio"`
	AverageRate string            `json:"avg_frame_rate"`
	TimeBase    string            `json:"time_base"`
	Duration    string            `json:"duration"`
	Frames      string            `json:"nb_frames"`
	Tags        map[string]string `json:"tags"`
	Disposition struct {
		AttachedPic int `json:"attached_pic"`
	} `json:"disposition"`
	SideData []struct {
		Matrix string `json:"displaymatrix"`
	} `json:"side_data_list"`
}

func (a *answer) info() (Info, error) {
	var s *stream
	for i := range a.Streams {
		if a.Streams[i].Disposition.AttachedPic == 0 { // a cover picture is no clip
			s = &a.Streams[i]
			break
		}
	}
	switch {
	case s == nil:
		return Info{}, fmt.Errorf("%w: the file has no video stream", ErrNotVideo)
	case s.Codec == "" || s.Codec == "unknown":
		return Info{}, fmt.Errorf("%w: the codec is not known here", ErrNotVideo)
	case s.Width <= 0 || s.Height <= 0 || s.PixFmt == "":
		return Info{}, errNoPicture
	}
	info := Info{
		CodedWidth: s.Width, CodedHeight: s.Height,
		Codec: s.Codec, PixFmt: s.PixFmt,
		FullRange:  s.Range == "pc" || strings.HasPrefix(s.PixFmt, "yuvj"),
		Matrix:     matrixOf(s.Matrix, s.Width, s.Height),
		Transfer:   known(s.Transfer),
		ChromaSite: known(s.ChromaSite),
		stream:     s.Index,
	}
	for _, prefix := range []string{"gbr", "rgb", "bgr", "argb", "abgr", "0rgb", "0bgr", "pal8"} {
		if strings.HasPrefix(s.PixFmt, prefix) {
			info.fromRGB, info.Matrix, info.FullRange = true, "bt709", false
		}
	}
	for _, d := range s.SideData {
		if d.Matrix == "" {
			continue
		}
		t, err := parseTurn(d.Matrix)
		if err != nil {
			return Info{}, fmt.Errorf("%w: %w", ErrBroken, err)
		}
		info.orientBy = t
	}
	info.RotateDeg, info.Mirrored = info.orientBy.deg, info.orientBy.mirrored
	info.squareW, info.squareH = square(s.Width, s.Height, s.Aspect)
	info.Width, info.Height = info.squareW, info.squareH
	if info.orientBy.swaps() {
		info.Width, info.Height = info.Height, info.Width
	}
	var ok bool
	if info.tbNum, info.tbDen, ok = ratio(s.TimeBase, "/"); !ok {
		return Info{}, fmt.Errorf("%w: time base %q", ErrBroken, shorten(s.TimeBase))
	}
	if num, den, ok := ratio(s.AverageRate, "/"); ok {
		info.FileFPS = float64(num) / float64(den)
	}
	info.DurationS = firstPositive(s.Duration, a.Format.Duration)
	if n, err := strconv.Atoi(s.Frames); err == nil && n > 0 {
		info.FramesHint = n
	} else {
		info.FramesHint = int(math.Round(info.DurationS * info.FileFPS))
	}
	// Android cameras write the rate of capture into a slow-motion clip.
	info.CaptureFPS = firstPositive(a.Format.Tags["com.android.capture.fps"], s.Tags["com.android.capture.fps"])
	return info, nil
}

// check holds the clip against the limits.
func (l Limits) check(i Info) error {
	for _, size := range [][2]int{{i.CodedWidth, i.CodedHeight}, {i.Width, i.Height}} {
		if size[0] > maxSide || size[1] > maxSide || int64(size[0])*int64(size[1]) > l.MaxPixels {
			return fmt.Errorf("%w: pictures of %d × %d, at most %d pixels are taken", ErrTooLarge, size[0], size[1], l.MaxPixels)
		}
	}
	if i.DurationS > l.MaxDurationS {
		return fmt.Errorf("%w: %.0f s long, at most %.0f s are taken", ErrTooLarge, i.DurationS, l.MaxDurationS)
	}
	return l.checkFrames(i.FramesHint)
}

// checkFrames is asked again while frames are read: a header may lie.
func (l Limits) checkFrames(n int) error {
	if n > l.MaxFrames {
		return fmt.Errorf("%w: %d frames or more, at most %d are taken", ErrTooLarge, n, l.MaxFrames)
	}
	return nil
}

// matrixOf maps ffmpeg's name of the matrix to the three kinds known here.
func matrixOf(name string, w, h int) string {
	switch name {
	case "bt709", "smpte240m":
		return "bt709"
	case "smpte170m", "bt470bg", "fcc":
		return "bt601"
	case "bt2020nc", "bt2020c", "ictcp":
		return "bt2020"
	}
	if min(w, h) >= 720 {
		return "bt709"
	}
	return "bt601"
}

// square returns the size with square pixels of equal height.
func square(w, h int, aspect string) (int, int) {
	num, den, ok := ratio(aspect, ":")
	if !ok || num == den {
		return w, h
	}
	a := float64(num) / float64(den)
	if a < 0.1 || a > 10 { // nonsense in the file, not a lens
		return w, h
	}
	return max(1, int(math.Round(float64(w)*a))), h
}

func ratio(s, sep string) (num, den int64, ok bool) {
	a, b, found := strings.Cut(s, sep)
	num, errA := strconv.ParseInt(a, 10, 64)
	den, errB := strconv.ParseInt(b, 10, 64)
	return num, den, found && errors.Join(errA, errB) == nil && num > 0 && den > 0
}

func firstPositive(texts ...string) float64 {
	for _, s := range texts {
		if v, err := strconv.ParseFloat(s, 64); err == nil && v > 0 && !math.IsInf(v, 0) {
			return v
		}
	}
	return 0
}

func known(s string) string {
	if s == "unknown" || s == "unspecified" {
		return ""
	}
	return s
}
