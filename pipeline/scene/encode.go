package scene

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"golang.org/x/sync/errgroup"

	"ashline/pipeline/outfile"
)

// encode renders every frame into an ffmpeg child and puts the finished file
// in place.
func (s *Scene) encode(ctx context.Context, path string, o WriteOptions) (err error) {
	tmp := path + ".part"
	defer func() {
		if err != nil {
			_ = os.Remove(tmp)
		}
	}()
	if err := outfile.Write(tmp, nil); err != nil { // the child would follow a link
		return fmt.Errorf("scene: %w", err)
	}
	args, err := s.encoderArgs(tmp, o)
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, "ffmpeg", args...)
	var said bytes.Buffer
	cmd.Stderr = &said
	in, err := cmd.StdinPipe()
	if err != nil {
		return fmt.Errorf("%w: %w", ErrEncode, err)
	}
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("%w: %w", ErrEncode, err)
	}
	fed := s.feed(ctx, in, o)
	_ = in.Close()
	ran := cmd.Wait()
	switch {
	case ctx.Err() != nil:
		return fmt.Errorf("%w: %w", ErrEncode, ctx.Err())
	case ran != nil:
		return fmt.Errorf("%w: %w: %s", ErrEncode, ran, lastLine(said.String()))
	case fed != nil:
		return fmt.Errorf("%w: %w", ErrEncode, fed)
	}
	if s.P.uneven() || s.P.RotateDeg != 0 {
		if err := retouch(tmp, s.ptsS, s.P.RotateDeg); err != nil {
			return err
		}
	}
	if err := os.Rename(tmp, path); err != nil {
		return fmt.Errorf("scene: %w", err)
	}
	return nil
}

func lastLine(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return lines[len(lines)-1]
}

func (s *Scene) encoderArgs(out string, o WriteOptions) ([]string, error) {
	w, h := s.P.WidthPx, s.P.HeightPx
	if s.P.RotateDeg%180 != 0 {
		w, h = h, w
	}
	crf, preset := o.CRF, o.Preset
	if crf == 0 {
		crf = 17
	}
	if preset == "" {
		preset = "veryfast"
	}
	codec := []string{"-c:v", "libx264", "-bf", "0"}
	switch o.Codec {
	case "", "h264":
	case "hevc":
		codec = []string{"-c:v", "libx265", "-tag:v", "hvc1", "-x265-params", "log-level=error:bframes=0"}
	default:
		return nil, refuse("codec", o.Codec, "is none of h264, hevc")
	}
	abs, err := filepath.Abs(out)
	if err != nil {
		return nil, fmt.Errorf("scene: %w", err)
	}
	args := []string{
		"-nostdin", "-hide_banner", "-loglevel", "error", "-y",
		"-f", "rawvideo", "-pix_fmt", "rgb24", "-video_size", fmt.Sprintf("%dx%d", w, h),
		"-framerate", strconv.FormatFloat(s.P.FileFPS, 'f', -1, 64), "-i", "pipe:0",
		// Chroma samples lie over the left one of each pair of columns and between
		// two rows, the standard's default; the scaler's own is half a pixel off.
		"-vf", "scale=flags=area+accurate_rnd:out_color_matrix=bt709:out_range=tv:out_h_chr_pos=0:out_v_chr_pos=128",
		"-chroma_sample_location", "left",
		"-pix_fmt", "yuv420p", "-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709", "-color_range", "tv",
	}
	quality := []string{"-crf", strconv.Itoa(crf)}
	if k := s.P.BitrateKbps; k > 0 { // as a messenger squeezes a clip; bursts of half as much again
		quality = []string{"-b:v", fmt.Sprintf("%dk", k), "-maxrate", fmt.Sprintf("%dk", k*3/2), "-bufsize", fmt.Sprintf("%dk", 2*k)}
	}
	args = append(append(args, codec...), quality...)
	args = append(args, "-preset", preset, "-threads", "1",
		"-video_track_timescale", strconv.Itoa(fileTicks), "-f", "mp4")
	if !s.P.uneven() {
		// The table of times is at the file's end, so that it can grow; where it
		// does not, it goes first.
		args = append(args, "-movflags", "+faststart")
	}
	return append(args, "file:"+abs), nil
}

// feed renders the frames in order, some at the same time, and writes them.
func (s *Scene) feed(ctx context.Context, out io.Writer, o WriteOptions) error {
	workers := max(1, o.Workers)
	size := 3 * s.P.WidthPx * s.P.HeightPx
	bufs := make([][]byte, workers)
	for k := range bufs {
		bufs[k] = make([]byte, size)
	}
	turned := make([]byte, size)
	n := s.Frames()
	for first := 0; first < n; first += workers {
		g, ctx := errgroup.WithContext(ctx)
		for k := 0; k < workers && first+k < n; k++ {
			g.Go(func() error {
				if err := ctx.Err(); err != nil {
					return err
				}
				return s.Frame(first+k, bufs[k])
			})
		}
		if err := g.Wait(); err != nil {
			return err
		}
		for k := 0; k < workers && first+k < n; k++ {
			b := bufs[k]
			if s.P.RotateDeg != 0 {
				unturn(b, turned, s.P.WidthPx, s.P.HeightPx, s.P.RotateDeg)
				b = turned
			}
			if _, err := out.Write(b); err != nil {
				return err
			}
			if o.Progress != nil {
				o.Progress(first+k+1, n)
			}
		}
	}
	return nil
}

// unturn lays the upright picture w×h as it is stored when a player must turn
// it clockwise by deg.
func unturn(in, out []byte, w, h, deg int) {
	for y := range h {
		for x := range w {
			var i int
			switch deg {
			case 90: // stored picture is h wide
				i = (w-1-x)*h + y
			case 180:
				i = (h-1-y)*w + (w - 1 - x)
			default:
				i = x*h + (h - 1 - y)
			}
			copy(out[3*i:3*i+3], in[3*(y*w+x):3*(y*w+x)+3])
		}
	}
}
