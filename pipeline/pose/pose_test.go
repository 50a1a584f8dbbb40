package pose

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"ashline/pipeline/scene"
)

// Halves by hand, IEEE 754: 1, −2, the smallest subnormal 2⁻²⁴, the largest 65504.
func TestHalfFloat(t *testing.T) {
	t.Parallel()
	for bits, want := range map[uint16]float32{0x3c00: 1, 0xc000: -2, 0x0001: 0x1p-24, 0x7bff: 65504, 0x8000: 0, 0x3555: 0.333251953125} {
		if got := halfFloat(bits); got != want {
			t.Errorf("%#04x: %g, want %g", bits, got, want)
		}
	}
}

// A person's middle in one cell leads to joints in others; a likelier middle far from
// the picture's is another person.
func TestDecode(t *testing.T) {
	t.Parallel()
	const n = 16
	m := Maps{
		Cells: n, Heat: make([]float32, Joints*n*n), Centre: make([]float32, n*n),
		Regress: make([]float32, 2*Joints*n*n), Offset: make([]float32, 2*Joints*n*n),
	}
	m.Centre[8*n+7] = 0.6
	m.Centre[1*n+1] = 0.9
	for k := range Joints {
		m.Regress[(2*k*n+8)*n+7], m.Regress[((2*k+1)*n+8)*n+7] = -5, 4 // to (3, 11)
		m.Heat[(k*n+4)*n+11] = 0.5
		m.Heat[(k*n+15)*n+0] = 0.8 // another's joint
		m.Offset[(2*k*n+4)*n+11], m.Offset[((2*k+1)*n+4)*n+11] = 0.25, 0.75
	}
	for k, j := range m.Decode() {
		if j != (Joint{X: 4*11.75 - 0.5, Y: 4*4.25 - 0.5, Score: 0.5}) {
			t.Errorf("joint %d: %+v", k, j)
		}
	}
}

// A crop keeps places: a bright pixel of the picture is where On says it is.
func TestCrop(t *testing.T) {
	t.Parallel()
	p := photo{pix: make([]byte, 3*900*700), w: 900}
	for _, s := range []Square{{0, 0, 512}, {130, 50, 600}, {-40, -60, 400}} {
		const j, i = 100, 180
		q := Person{{X: j, Y: i}}.On(s)[0]
		for y := int(q.Y) - 2; y <= int(q.Y)+2; y++ {
			for x := int(q.X) - 2; x <= int(q.X)+2; x++ {
				p.pix[3*(y*p.w+x)+1] = 200
			}
		}
		out := Crop(p, s)
		if got := out[Side*Side+i*Side+j]; got < 150 {
			t.Errorf("%+v: green is %g where it should be bright", s, got)
		}
		if got := out[Side*Side+i*Side+j+8] + out[i*Side+j]; got > 0 {
			t.Errorf("%+v: %g beside it", s, got)
		}
		clear(p.pix)
	}
}

func TestRefusesOtherModels(t *testing.T) {
	t.Parallel()
	for name, topology := range map[string]string{"not JSON": "{", "empty": "{}", "other": `{"modelTopology":{"node":[{"name":"a","op":"Softmax","input":["b"]}]}}`} {
		if _, err := Trunk([]byte(topology), nil); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := Load(t.TempDir()); err == nil {
		t.Error("no error without files")
	}
}

// photo is a picture of bytes, red, green and blue.
type photo struct {
	pix []byte
	w   int
}

func (p photo) Size() (w, h int) { return p.w, len(p.pix) / 3 / p.w }

func (p photo) At(x, y int) [3]float32 {
	i := 3 * (y*p.w + x)
	return [3]float32{float32(p.pix[i]), float32(p.pix[i+1]), float32(p.pix[i+2])}
}

func (p photo) RGB(s [3]float32) [3]float32 { return s }

// modelDir is where deploy/pose.sh puts the network.
func modelDir(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("ASHLINE_POSE")
	if dir == "" {
		t.Skip("the pose network is not there: run deploy/pose.sh and set ASHLINE_POSE to its folder")
	}
	return dir
}

// The reference is the same network run by TensorFlow.js with its WebAssembly
// backend, on hitters of rendered scenes.
func TestAgreesWithReference(t *testing.T) {
	dir := modelDir(t)
	modules := filepath.Join(dir, "reference", "node_modules")
	if _, err := os.Stat(modules); err != nil {
		t.Skip("the reference is not there: run deploy/pose.sh --reference")
	}
	net, err := Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := net.Close(); err != nil {
			t.Error(err)
		}
	}()
	var ours []Person
	script, err := filepath.Abs("../../deploy/pose-reference.cjs")
	if err != nil {
		t.Fatal(err)
	}
	args := []string{script, filepath.Join(dir, TopologyFile), filepath.Join(dir, WeightsFile)}
	tmp := t.TempDir()
	for k, c := range []struct {
		seed uint64
		part float64 // of the clip
	}{{1, 0.1}, {2, 0.4}, {3, 0.5}, {4, 0.6}, {5, 0.9}, {6, 0.55}} {
		sc, err := scene.New(scene.Random(c.seed, scene.Clean))
		if err != nil {
			t.Fatal(err)
		}
		p := photo{pix: make([]byte, 3*sc.P.WidthPx*sc.P.HeightPx), w: sc.P.WidthPx}
		if err := sc.Frame(int(c.part*float64(sc.Frames())), p.pix); err != nil {
			t.Fatal(err)
		}
		rgb := Crop(p, Square{X: float64(p.w)/2 - 360, Y: 0, Side: 720})
		whole := make([]byte, len(rgb))
		for i := range Side * Side {
			for ch := range 3 {
				v := math.Round(float64(rgb[ch*Side*Side+i]))
				whole[3*i+ch], rgb[ch*Side*Side+i] = byte(v), float32(v)
			}
		}
		name := filepath.Join(tmp, fmt.Sprintf("%d.rgb", k))
		if err := os.WriteFile(name, whole, 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, name)
		person, err := net.Run(rgb)
		if err != nil {
			t.Fatal(err)
		}
		ours = append(ours, person)
	}
	ctx, stop := context.WithTimeout(context.Background(), 3*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, "node", args...) //nolint:gosec // the project's own script
	cmd.Env = append(os.Environ(), "NODE_PATH="+modules)
	cmd.Stderr = os.Stderr
	text, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	worst := 0.0
	for k, p := range ours {
		var ref [Joints][3]float64
		if err := dec.Decode(&ref); err != nil {
			t.Fatal(err)
		}
		for i, j := range p {
			d := math.Hypot(j.X+0.5-ref[i][0], j.Y+0.5-ref[i][1])
			worst = math.Max(worst, d)
			if !(d <= 0.5) || math.Abs(j.Score-ref[i][2]) > 0.01 {
				t.Errorf("picture %d, joint %d: %.2f, %.2f score %.3f; reference %.2f, %.2f score %.3f", k, i, j.X+0.5, j.Y+0.5, j.Score, ref[i][0], ref[i][1], ref[i][2])
			}
		}
	}
	t.Logf("%d pictures: joints %.5f px off at most", len(ours), worst)
}
