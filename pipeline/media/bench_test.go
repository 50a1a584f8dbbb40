package media

import (
	"context"
	"errors"
	"io"
	"os/exec"
	"strconv"
	"testing"
	"time"
)

// BenchmarkDecode1080p compares the decoder with ffmpeg throwing the same
// frames away, in the same run: floor-ms/frame is the latter.
func BenchmarkDecode1080p(b *testing.B) {
	path := render(b, "b.mp4", "-f", "lavfi", "-i", "testsrc2=r=240:d=1:s=1920x1080,noise=alls=6:allf=t",
		"-c:v", "libx264", "-preset", "veryfast", "-crf", "20", "-pix_fmt", "yuv420p")
	info := probe(b, path)
	for _, threads := range []int{1, 2} {
		b.Run(strconv.Itoa(threads)+" threads", func(b *testing.B) {
			n := 0
			for b.Loop() {
				n += decodeOnce(b.Context(), b, path, info, threads)
			}
			perFrame := float64(b.Elapsed().Microseconds()) / 1000 / float64(n)
			start := time.Now()
			cmd := exec.CommandContext(b.Context(), "ffmpeg", "-v", "error", "-nostdin",
				"-threads", strconv.Itoa(threads), "-i", path, "-an", "-f", "null", "-")
			cmd.Env = childEnv()
			if err := cmd.Run(); err != nil {
				b.Fatal(err)
			}
			floor := float64(time.Since(start).Microseconds()) / 1000 / 240
			b.ReportMetric(perFrame, "ms/frame")
			b.ReportMetric(floor, "floor-ms/frame")
			b.ReportMetric(0, "ns/op")
		})
	}
}

func decodeOnce(ctx context.Context, b *testing.B, path string, info Info, threads int) (n int) {
	d, err := Open(ctx, path, info, Options{Threads: threads})
	if err != nil {
		b.Fatal(err)
	}
	defer d.Close()
	var f Frame
	for {
		switch err := d.Next(&f); {
		case errors.Is(err, io.EOF):
			return n
		case err != nil:
			b.Fatal(err)
		}
		n++
	}
}
