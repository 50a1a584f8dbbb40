package pose

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Side is the side of the picture that the network takes, px, and Step that of a
// cell of its maps.
const (
	Side = 256
	Step = 4
)

// ErrModel says that the files are not the network that this package knows.
var ErrModel = errors.New("pose: not the network that is known")

const (
	inputName   = "StatefulPartitionedCall/stack"
	heatName    = "StatefulPartitionedCall/Sigmoid"
	centreName  = "StatefulPartitionedCall/Sigmoid_1"
	regressName = "StatefulPartitionedCall/kpt_regress_0/conv2d_6/BiasAdd"
	offsetName  = "StatefulPartitionedCall/kpt_offset_0/conv2d_7/BiasAdd"
)

// tfGraph is a TensorFlow.js graph model's JSON, as far as it is read.
type tfGraph struct {
	ModelTopology struct {
		Node []tfNode `json:"node"`
	} `json:"modelTopology"`
	WeightsManifest []struct {
		Weights []tfWeight `json:"weights"`
	} `json:"weightsManifest"`
}

type tfNode struct {
	Name  string            `json:"name"`
	Op    string            `json:"op"`
	Input []string          `json:"input"`
	Attr  map[string]tfAttr `json:"attr"`
}

type tfAttr struct {
	B    bool   `json:"b"`
	S    []byte `json:"s"`
	List struct {
		I []string `json:"i"`
		S [][]byte `json:"s"`
	} `json:"list"`
}

type tfWeight struct {
	Name         string `json:"name"`
	Shape        []int  `json:"shape"`
	DType        string `json:"dtype"`
	Quantization *struct {
		DType string `json:"dtype"`
	} `json:"quantization"`
}

// constant is a weight as TensorFlow lays it out: channels last.
type constant struct {
	shape []int
	v     []float32
}

// converter writes the part of a graph that leads to some outputs as ONNX, whose
// pictures have their channels first.
type converter struct {
	nodes  map[string]tfNode
	consts map[string]constant
	out    graph
	shape  map[string][]int // of what is done: channels, height, width
	used   map[string]bool  // constants written
}

// Trunk converts the network's trunk to an ONNX model.
func Trunk(topology, weights []byte) ([]byte, error) {
	var tf tfGraph
	if err := json.Unmarshal(topology, &tf); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrModel, err)
	}
	c := converter{nodes: map[string]tfNode{}, consts: map[string]constant{}, shape: map[string][]int{}, used: map[string]bool{}}
	for _, n := range tf.ModelTopology.Node {
		c.nodes[n.Name] = n
	}
	for _, m := range tf.WeightsManifest {
		for _, w := range m.Weights {
			var err error
			if weights, err = c.read(w, weights); err != nil {
				return nil, err
			}
		}
	}
	if len(weights) != 0 {
		return nil, fmt.Errorf("%w: %d bytes of weights are left over", ErrModel, len(weights))
	}
	c.shape[inputName] = []int{3, Side, Side}
	c.out.port(11, inputName, []int{1, 3, Side, Side})
	for _, name := range []string{heatName, centreName, regressName, offsetName} {
		s, err := c.convert(name)
		if err != nil {
			return nil, err
		}
		c.out.port(12, name, append([]int{1}, s...))
	}
	return c.out.model("pose"), nil
}

// read takes one weight off the front of the file.
func (c *converter) read(w tfWeight, from []byte) ([]byte, error) {
	n := 1
	for _, d := range w.Shape {
		if d < 0 || d > 1<<20 || n > 1<<26 {
			return nil, fmt.Errorf("%w: weight %q has shape %v", ErrModel, w.Name, w.Shape)
		}
		n *= d
	}
	size := 4
	half := w.Quantization != nil && w.Quantization.DType == "float16"
	switch {
	case half:
		size = 2
	case w.Quantization != nil, w.DType != "float32" && w.DType != "int32":
		return nil, fmt.Errorf("%w: weight %q is of an unknown kind", ErrModel, w.Name)
	}
	if n*size > len(from) {
		return nil, fmt.Errorf("%w: the weights end in %q", ErrModel, w.Name)
	}
	v := make([]float32, n)
	for i := range v {
		switch {
		case half:
			v[i] = halfFloat(binary.LittleEndian.Uint16(from[2*i:]))
		case w.DType == "int32":
			v[i] = float32(int32(binary.LittleEndian.Uint32(from[4*i:]))) //nolint:gosec // the file's own kind
		default:
			v[i] = math.Float32frombits(binary.LittleEndian.Uint32(from[4*i:]))
		}
	}
	c.consts[w.Name] = constant{w.Shape, v}
	return from[n*size:], nil
}

// halfFloat is an IEEE 754 binary16 number.
func halfFloat(h uint16) float32 {
	sign, exp, frac := float64(1), int(h>>10)&31, float64(h&1023)
	if h>>15 == 1 {
		sign = -1
	}
	switch exp {
	case 0:
		return float32(sign * math.Ldexp(frac, -24))
	case 31:
		if frac != 0 {
			return float32(math.NaN())
		}
		return float32(math.Inf(int(sign)))
	}
	return float32(sign * math.Ldexp(1024+frac, exp-25))
}

// convert writes a node after what it needs and returns its shape.
func (c *converter) convert(name string) ([]int, error) {
	if s, ok := c.shape[name]; ok {
		return s, nil
	}
	n, ok := c.nodes[name]
	if !ok || len(n.Input) == 0 {
		return nil, fmt.Errorf("%w: no node %q", ErrModel, name)
	}
	in, err := c.convert(n.Input[0])
	if err != nil {
		return nil, err
	}
	var s []int
	switch n.Op {
	case "_FusedConv2D", "FusedDepthwiseConv2dNative", "DepthwiseConv2dNative":
		s, err = c.conv(n, in)
	case "AddV2", "Sub", "Mul":
		s, err = c.arithmetic(n, in)
	case "Sigmoid":
		c.out.node("Sigmoid", name, n.Input[:1])
		s = in
	case "ResizeBilinear":
		s, err = c.resize(n, in)
	default:
		return nil, fmt.Errorf("%w: node %q is a %s", ErrModel, name, n.Op)
	}
	if err != nil {
		return nil, err
	}
	c.shape[name] = s
	return s, nil
}

func (c *converter) conv(n tfNode, in []int) ([]int, error) {
	bad := func(why string) error { return fmt.Errorf("%w: node %q: %s", ErrModel, n.Name, why) }
	if len(n.Input) < 2 {
		return nil, bad("no filter")
	}
	w, ok := c.consts[n.Input[1]]
	if !ok || len(w.shape) != 4 {
		return nil, bad("its filter is not a constant of four dimensions")
	}
	kh, kw, ci, co := w.shape[0], w.shape[1], w.shape[2], w.shape[3]
	depthwise := n.Op != "_FusedConv2D"
	if ci != in[0] || depthwise && co != 1 {
		return nil, bad("its filter does not fit its input")
	}
	group, outC, perGroup := 1, co, ci
	if depthwise {
		group, outC, perGroup = ci, ci, 1
	}
	// TensorFlow: height, width, in, out. ONNX: out, in of the group, height, width.
	v := make([]float32, len(w.v))
	for y := range kh {
		for x := range kw {
			for i := range ci {
				for o := range co {
					to := ((o*perGroup+i)*kh+y)*kw + x
					if depthwise {
						to = (i*kh+y)*kw + x
					}
					v[to] = w.v[((y*kw+x)*ci+i)*co+o]
				}
			}
		}
	}
	c.out.constant(n.Input[1], []int{outC, perGroup, kh, kw}, v)
	inputs := []string{n.Input[0], n.Input[1]}
	fused := n.Attr["fused_ops"].List.S
	if len(fused) > 0 {
		b, ok := c.consts[at(n.Input, 2)]
		if string(fused[0]) != "BiasAdd" || !ok || len(b.v) != outC {
			return nil, bad("it has no bias that fits")
		}
		c.out.constant(n.Input[2], []int{outC}, b.v)
		inputs = append(inputs, n.Input[2])
	}
	stride := 1
	if s := n.Attr["strides"].List.I; len(s) == 4 {
		stride, _ = strconv.Atoi(s[1])
	}
	if stride != 1 && stride != 2 {
		return nil, bad("its stride is neither 1 nor 2")
	}
	var pads [4]int // top, left, bottom, right
	out := []int{outC, (in[1]-kh)/stride + 1, (in[2]-kw)/stride + 1}
	if string(n.Attr["padding"].S) == "SAME" {
		for k, kernel := range []int{kh, kw} {
			out[k+1] = (in[k+1] + stride - 1) / stride
			all := max(0, (out[k+1]-1)*stride+kernel-in[k+1])
			pads[k], pads[k+2] = all/2, all-all/2
		}
	}
	name := n.Name
	act := string(slices.Concat(fused...))
	switch act {
	case "", "BiasAdd":
	case "BiasAddRelu", "BiasAddRelu6":
		name += "/before"
	default:
		return nil, bad("it ends in " + act)
	}
	c.out.node("Conv", name, inputs,
		setting{"dilations", []int{1, 1}}, setting{"group", group}, setting{"kernel_shape", []int{kh, kw}},
		setting{"pads", pads[:]}, setting{"strides", []int{stride, stride}})
	switch act {
	case "BiasAddRelu":
		c.out.node("Relu", n.Name, []string{name})
	case "BiasAddRelu6":
		// Limits as settings, as before opset 11: OpenCV reads no others.
		c.out.node("Clip", n.Name, []string{name}, setting{"min", float32(0)}, setting{"max", float32(6)})
	}
	return out, nil
}

// at is an element or nothing.
func at(v []string, i int) string {
	if i < len(v) {
		return v[i]
	}
	return ""
}

func (c *converter) arithmetic(n tfNode, in []int) ([]int, error) {
	if len(n.Input) != 2 {
		return nil, fmt.Errorf("%w: node %q does not take two inputs", ErrModel, n.Name)
	}
	other := n.Input[1]
	if k, ok := c.consts[other]; ok {
		if len(k.v) != 1 && len(k.v) != in[0] {
			return nil, fmt.Errorf("%w: node %q: its constant does not fit", ErrModel, n.Name)
		}
		v := k.v
		for len(v) < in[0] {
			v = append(slices.Clone(v), k.v[0])
		}
		if !c.used[other] {
			c.out.constant(other, []int{1, in[0], 1, 1}, v)
			c.used[other] = true
		}
	} else if s, err := c.convert(other); err != nil {
		return nil, err
	} else if !slices.Equal(s, in) {
		return nil, fmt.Errorf("%w: node %q joins %v and %v", ErrModel, n.Name, in, s)
	}
	op := map[string]string{"AddV2": "Add", "Sub": "Sub", "Mul": "Mul"}[n.Op]
	c.out.node(op, n.Name, n.Input)
	return in, nil
}

// resize doubles a map, as all resizing of this network does.
func (c *converter) resize(n tfNode, in []int) ([]int, error) {
	if !n.Attr["half_pixel_centers"].B || n.Attr["align_corners"].B {
		return nil, fmt.Errorf("%w: node %q resizes in another way", ErrModel, n.Name)
	}
	scales := n.Name + "/scales"
	c.out.constant(scales, []int{4}, []float32{1, 1, 2, 2})
	c.out.node("Resize", n.Name, []string{n.Input[0], "", scales},
		setting{"mode", "linear"}, setting{"coordinate_transformation_mode", "half_pixel"})
	return []int{in[0], 2 * in[1], 2 * in[2]}, nil
}
