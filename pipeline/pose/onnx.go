package pose

import (
	"encoding/binary"
	"math"

	"google.golang.org/protobuf/encoding/protowire"
)

// message is a protocol buffer in the making. The numbers of fields are those of
// onnx.proto, ONNX 1.6.
type message []byte

func (m *message) text(field protowire.Number, v string) { m.raw(field, []byte(v)) }

func (m *message) raw(field protowire.Number, v []byte) {
	*m = protowire.AppendTag(*m, field, protowire.BytesType)
	*m = protowire.AppendBytes(*m, v)
}

func (m *message) number(field protowire.Number, v int64) {
	*m = protowire.AppendTag(*m, field, protowire.VarintType)
	*m = protowire.AppendVarint(*m, uint64(v)) //nolint:gosec // two's complement is the format
}

func (m *message) float(field protowire.Number, v float32) {
	*m = protowire.AppendTag(*m, field, protowire.Fixed32Type)
	*m = protowire.AppendFixed32(*m, math.Float32bits(v))
}

// Kinds of attribute and of number.
const (
	attrFloat  = 1
	attrInt    = 2
	attrString = 3
	attrInts   = 7
	float32s   = 1
)

// attribute is one setting of a node: a float32, int64, string or []int64.
func attribute(name string, v any) message {
	var m message
	m.text(1, name)
	switch v := v.(type) {
	case float32:
		m.float(2, v)
		m.number(20, attrFloat)
	case int:
		m.number(3, int64(v))
		m.number(20, attrInt)
	case string:
		m.text(4, v)
		m.number(20, attrString)
	case []int:
		for _, x := range v {
			m.number(8, int64(x))
		}
		m.number(20, attrInts)
	}
	return m
}

// graph collects nodes and constants of an ONNX graph.
type graph struct{ body message }

// setting is a named attribute of a node.
type setting struct {
	name  string
	value any
}

func (g *graph) node(op, output string, inputs []string, settings ...setting) {
	var m message
	for _, in := range inputs {
		m.text(1, in)
	}
	m.text(2, output)
	m.text(3, output)
	m.text(4, op)
	for _, s := range settings {
		m.raw(5, attribute(s.name, s.value))
	}
	g.body.raw(1, m)
}

func (g *graph) constant(name string, shape []int, v []float32) {
	var m message
	for _, d := range shape {
		m.number(1, int64(d))
	}
	m.number(2, float32s)
	m.text(8, name)
	data := make([]byte, 0, 4*len(v))
	for _, x := range v {
		data = binary.LittleEndian.AppendUint32(data, math.Float32bits(x))
	}
	m.raw(9, data)
	g.body.raw(5, m)
}

// port describes an input (field 11) or output (field 12).
func (g *graph) port(field protowire.Number, name string, shape []int) {
	var dims message
	for _, d := range shape {
		var dim message
		dim.number(1, int64(d))
		dims.raw(1, dim)
	}
	var tensor, kind, m message
	tensor.number(1, float32s)
	tensor.raw(2, dims)
	kind.raw(1, tensor)
	m.text(1, name)
	m.raw(2, kind)
	g.body.raw(field, m)
}

// model is the whole file.
func (g *graph) model(name string) []byte {
	g.body.text(2, name)
	var set, m message
	set.text(1, "")
	set.number(2, 11)
	m.number(1, 6)
	m.raw(7, g.body)
	m.raw(8, set)
	return m
}
