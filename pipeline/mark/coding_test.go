package mark

import (
	"image/color"
	"math"
	"testing"

	"ashline/pipeline/card"
)

// Codes of colour bars at full strength, 8 bits, studio range. Source: ITU-R BT.709-6 and
// BT.601-7 with their equations 3.2 to 3.4, which give Y = 16 + 219·Y′ and C = 128 + 224·C′:
// rounded, as published for test patterns.
func TestCodesOfBars(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		matrix  string
		rgb     vec
		y, u, v float64
	}{
		{"bt709", vec{1, 1, 1}, 235, 128, 128},
		{"bt709", vec{0, 0, 0}, 16, 128, 128},
		{"bt709", vec{1, 0, 0}, 63, 102, 240},
		{"bt709", vec{0, 1, 0}, 173, 42, 26},
		{"bt709", vec{0, 0, 1}, 32, 240, 118},
		{"bt601", vec{1, 0, 0}, 81, 90, 240},
		{"bt601", vec{0, 1, 0}, 145, 54, 34},
		{"bt601", vec{0, 0, 1}, 41, 240, 110},
		{"bt2020", vec{1, 0, 0}, 74, 97, 240},
	} {
		coding := Coding{Matrix: c.matrix}
		y, u, v := coding.codes(c.rgb)
		if math.Abs(y-c.y) > 0.6 || math.Abs(u-c.u) > 0.6 || math.Abs(v-c.v) > 0.6 {
			t.Errorf("%s %v: %.2f, %.2f, %.2f, want %g, %g, %g", c.matrix, c.rgb, y, u, v, c.y, c.u, c.v)
		}
		back := coding.rgb(y, u, v)
		for i := range back {
			if math.Abs(back[i]-c.rgb[i]) > 1e-12 {
				t.Errorf("%s %v: back to %v", c.matrix, c.rgb, back)
			}
		}
	}
}

// JFIF's full-range BT.601 is what the standard library computes.
func TestCodesAgreeWithTheLibrary(t *testing.T) {
	t.Parallel()
	coding := Coding{Matrix: "bt601", FullRange: true}
	for _, c := range []card.RGB{{R: 200, G: 30, B: 90}, {R: 12, G: 240, B: 33}, {R: 5, G: 66, B: 250}, {R: 128, G: 128, B: 128}} {
		y, u, v := coding.codes(vec{float64(c.R) / 255, float64(c.G) / 255, float64(c.B) / 255})
		wy, wu, wv := color.RGBToYCbCr(c.R, c.G, c.B)
		if math.Abs(y-float64(wy)) > 1 || math.Abs(u-float64(wu)) > 1 || math.Abs(v-float64(wv)) > 1 {
			t.Errorf("%v: %.2f, %.2f, %.2f, the library %d, %d, %d", c, y, u, v, wy, wu, wv)
		}
		cb, cr, luma := coding.Chroma(c)
		if math.Abs(cb-float64(wu)+128) > 1 || math.Abs(cr-float64(wv)+128) > 1 || math.Abs(255*luma-float64(wy)) > 1 {
			t.Errorf("%v: chroma %.2f, %.2f, luma %.3f", c, cb, cr, luma)
		}
		if got := coding.RGB([3]float64{y, u, v}); got != c {
			t.Errorf("%v: back to %v", c, got)
		}
	}
}

// Linear light of sRGB values. Source: IEC 61966-2-1: ((0.5 + 0.055)/1.055)^2.4 =
// 0.214041, and a slope of 1/12.92 below 0.04045.
func TestTone(t *testing.T) {
	t.Parallel()
	for v, want := range map[float64]float64{0: 0, 0.02: 0.00154799, 0.5: 0.2140411, 0.8: 0.6038273, 1: 1, -0.1: 0} {
		if got := toneLinear(v); math.Abs(got-want) > 1e-6 {
			t.Errorf("%g: %.7f, want %.7f", v, got, want)
		}
		if got := toneEncode(want); v >= 0 && math.Abs(got-v) > 1e-6 {
			t.Errorf("%g: back to %.7f", v, got)
		}
	}
}

// By hand: a mark of Cb −40, Cr 30 has a saturation of 50; a pixel of half of it counts a
// half, one of the opposite colour nothing, a glint no more than five quarters, and what is
// off its hue only what lies along it.
func TestShareOfAMark(t *testing.T) {
	t.Parallel()
	m := modelOf("mark", -40, 30)
	if math.Abs(m.Saturation-50) > 1e-12 {
		t.Errorf("saturation %g, want 50", m.Saturation)
	}
	for _, c := range []struct {
		u, v uint8
		want float64
	}{{128, 128, 0}, {88, 158, 1}, {108, 143, 0.5}, {168, 98, 0}, {28, 203, 1.25}, {158, 168, 0}, {88, 128, 0.64}} {
		if got := m.share(c.u, c.v); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%d, %d: %.4f, want %g", c.u, c.v, got, c.want)
		}
	}
	at := func(deg float64) Model { s, c := math.Sincos(deg * math.Pi / 180); return modelOf("x", 50*c, 50*s) }
	if got := Alike([]Model{at(-175), at(0), at(17), at(36), at(170)}); len(got) != 2 {
		t.Errorf("%d pairs alike, want 0° and 17°, 170° and −175°", len(got))
	}
	// A colour that was seen in half of the light is the card's colour in full light.
	coding := Coding{Matrix: "bt709"}
	dim := vec{toneEncode(0.5), toneEncode(0.1), toneEncode(0.05)}
	y, u, v := coding.codes(dim)
	full := ModelOf("seen", y, u, v, coding).full
	for i, want := range [3]float64{1, 0.2, 0.1} {
		if math.Abs(full[i]-want) > 1e-6 {
			t.Errorf("full light %v, want 1, 0.2, 0.1", full)
		}
	}
}
