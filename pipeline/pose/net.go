package pose

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"

	"gocv.io/x/gocv"
)

// The two files of the network and their SHA-256, as published.
const (
	TopologyFile = "movenet-thunder.json"
	WeightsFile  = "movenet-thunder.bin"
	topologySum  = "7ac4e2a8449fc279f71b8b0ba52f7c5daafc124ce9b6bf7549289ca432e342b6"
	weightsSum   = "a2925747fccaf737c0f20eacdeff919efd5d514e90242397002a0de349dff18c"
)

// Net is the network, ready to run. It must be closed.
type Net struct {
	net  gocv.Net
	blob gocv.Mat
}

// Load reads the network from the folder that deploy/pose.sh fills.
func Load(dir string) (*Net, error) {
	topology, err := read(dir, TopologyFile, topologySum)
	if err != nil {
		return nil, err
	}
	weights, err := read(dir, WeightsFile, weightsSum)
	if err != nil {
		return nil, err
	}
	model, err := Trunk(topology, weights)
	if err != nil {
		return nil, err
	}
	net, err := gocv.ReadNetFromONNXBytes(model)
	if err != nil {
		return nil, fmt.Errorf("pose: %w", err)
	}
	n := &Net{net: net, blob: gocv.NewMatWithSizes([]int{1, 3, Side, Side}, gocv.MatTypeCV32F)}
	if net.Empty() {
		n.Close()
		return nil, fmt.Errorf("%w: OpenCV does not read it", ErrModel)
	}
	return n, nil
}

func read(dir, name, sum string) ([]byte, error) {
	b, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		return nil, fmt.Errorf("pose: %w", err)
	}
	if got := sha256.Sum256(b); hex.EncodeToString(got[:]) != sum {
		return nil, fmt.Errorf("%w: %s has another checksum", ErrModel, name)
	}
	return b, nil
}

// Close frees the network.
func (n *Net) Close() error {
	if err := n.blob.Close(); err != nil {
		return fmt.Errorf("pose: %w", err)
	}
	if err := n.net.Close(); err != nil {
		return fmt.Errorf("pose: %w", err)
	}
	return nil
}

// Run finds the person in a picture: Side × Side px, the planes of red, green and
// blue one after the other, rows from the top, 0 to 255.
func (n *Net) Run(rgb []float32) (Person, error) {
	m, err := n.maps(rgb)
	if err != nil {
		return Person{}, err
	}
	return m.Decode(), nil
}

func (n *Net) maps(rgb []float32) (Maps, error) {
	data, err := n.blob.DataPtrFloat32()
	if err != nil {
		return Maps{}, fmt.Errorf("pose: %w", err)
	}
	if len(rgb) != len(data) {
		return Maps{}, fmt.Errorf("pose: a picture of %d numbers, not %d", len(rgb), len(data))
	}
	copy(data, rgb)
	n.net.SetInput(n.blob, inputName)
	out := n.net.ForwardLayers([]string{heatName, centreName, regressName, offsetName})
	m := Maps{Cells: Side / Step}
	for i, to := range []struct {
		v    *[]float32
		maps int
	}{{&m.Heat, Joints}, {&m.Centre, 1}, {&m.Regress, 2 * Joints}, {&m.Offset, 2 * Joints}} {
		if i < len(out) {
			if v, err := out[i].DataPtrFloat32(); err == nil && len(v) == to.maps*m.Cells*m.Cells {
				*to.v = append([]float32(nil), v...)
			}
		}
		if *to.v == nil {
			return Maps{}, fmt.Errorf("%w: it gave no such map as output %d", ErrModel, i)
		}
	}
	for i := range out {
		if err := out[i].Close(); err != nil {
			return Maps{}, fmt.Errorf("pose: %w", err)
		}
	}
	return m, nil
}
