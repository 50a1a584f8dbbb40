package media

import (
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestColourValues: bars at full amplitude, worked out by hand from the
// equations of ITU-R BT.601-7 §2.5 and BT.709-6 §3, so that the code is not its
// own oracle.
func TestColourValues(t *testing.T) {
	t.Parallel()
	tests := []struct {
		space   ColourSpace
		r, g, b uint8
		y, u, v uint8
	}{
		{ColourSpace{"bt601", false}, 255, 0, 0, 81, 90, 240},
		{ColourSpace{"bt601", false}, 0, 255, 0, 145, 54, 34},
		{ColourSpace{"bt601", false}, 0, 0, 255, 41, 240, 110},
		{ColourSpace{"bt709", false}, 255, 0, 0, 63, 102, 240},
		{ColourSpace{"bt709", false}, 0, 255, 0, 173, 42, 26},
		{ColourSpace{"bt709", false}, 0, 0, 255, 32, 240, 118},
		{ColourSpace{"bt709", false}, 255, 255, 255, 235, 128, 128},
		{ColourSpace{"bt709", true}, 255, 255, 255, 255, 128, 128},
		{ColourSpace{}, 0, 0, 0, 16, 128, 128},
	}
	for _, tt := range tests {
		y, u, v := tt.space.YUV(tt.r, tt.g, tt.b)
		if y != tt.y || u != tt.u || v != tt.v {
			t.Errorf("%+v YUV(%d, %d, %d) = %d, %d, %d, want %d, %d, %d", tt.space, tt.r, tt.g, tt.b, y, u, v, tt.y, tt.u, tt.v)
		}
	}
}

// TestRGBAInverts: a plain frame of any colour comes back as that colour. Three
// steps: chroma is rounded to half a step of about two in blue.
func TestRGBAInverts(t *testing.T) {
	t.Parallel()
	const tol = 3
	for _, space := range []ColourSpace{{}, {"bt601", false}, {"bt2020", false}, {"bt709", true}, {"bt601", true}} {
		for _, c := range [][3]uint8{{0, 0, 0}, {255, 255, 255}, {255, 45, 149}, {57, 211, 83}, {24, 184, 224}, {128, 128, 128}} {
			f := NewFrame(7, 5)
			f.Fill(space.YUV(c[0], c[1], c[2]))
			img := f.RGBA(space)
			for _, at := range [][2]int{{0, 0}, {6, 4}, {3, 2}} {
				got := img.RGBAAt(at[0], at[1])
				for i, g := range []uint8{got.R, got.G, got.B} {
					if d := int(g) - int(c[i]); d > tol || d < -tol {
						t.Errorf("%+v %v at %v: got %v", space, c, at, got)
					}
				}
			}
			r, g, b := space.RGB(f.Y[0], f.U[0], f.V[0])
			px := img.RGBAAt(3, 2)
			if d := diff([]byte{r, g, b}, []byte{px.R, px.G, px.B}); d > 1 {
				t.Errorf("%+v: RGB gives %d, %d, %d, RGBA %v", space, r, g, b, px)
			}
		}
	}
}

func TestWritePNG(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "still.png")
	if err := ramp(33, 21, 0).WritePNG(path, ColourSpace{}); err != nil {
		t.Fatal(err)
	}
	in, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	img, err := png.Decode(in)
	if err != nil || img.Bounds().Dx() != 33 || img.Bounds().Dy() != 21 {
		t.Errorf("got %v, %v", img.Bounds(), err)
	}
	if err := ramp(3, 3, 0).WritePNG(filepath.Join(path, "x.png"), ColourSpace{}); err == nil {
		t.Error("no error below a file")
	}
}

func TestTailKeepsTheEnd(t *testing.T) {
	t.Parallel()
	var tl tail
	for range 1000 {
		if _, err := tl.Write([]byte(strings.Repeat("x", 99) + "\n")); err != nil {
			t.Fatal(err)
		}
	}
	_, _ = tl.Write([]byte("[h264 @ 0x55aa] error while decoding MB 3 4\nfile:/a/b.mp4: bad\n[h264 @ 0x55ab] no frame!\nConversion failed!\n"))
	if len(tl.text()) > tailBytes {
		t.Errorf("kept %d bytes, want at most %d", len(tl.text()), tailBytes)
	}
	if got, want := tl.reason("/a/b.mp4"), "file: bad"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
