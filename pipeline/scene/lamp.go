package scene

import "math"

// lamp is what lights the scene: a far light, and light from all around.
type lamp struct {
	dir    Vec     // towards the far light
	direct float64 // of the far light, 1 in the cage
	even   float64 // of what comes from all around, 1 in the cage
	sky    float64 // of an overcast sky, which lights from the upper half
	gain   float32 // what the phone's exposure makes up for
}

// The lamps that a scene can ask for, besides the cage's own.
var lamps = []string{"", "above", "side", "behind", "sky"}

// newLamp places the lamp of p. Angles are drawn wide: a hall's row of lamps, a sun from
// late afternoon to noon.
func newLamp(p Params) lamp {
	side := p.cameraSide()
	rnd := newStream(p.Seed, 0x1a3b)
	from := func(azimuthDeg, heightDeg float64) Vec {
		sa, ca := math.Sincos(azimuthDeg * degree)
		sh, ch := math.Sincos(heightDeg * degree)
		return Vec{sa * ch, ca * ch * side, sh} // azimuth 0 is where the lens stands
	}
	switch p.Lamp {
	case "above":
		return lamp{dir: from(rnd.between(0, 360), rnd.between(72, 90)), direct: 1.05, even: 0.8, gain: 1}
	case "side":
		way := 90.0
		if rnd.uniform() < 0.5 {
			way = -90
		}
		return lamp{dir: from(way+rnd.between(-25, 25), rnd.between(20, 45)), direct: 1.1, even: 0.75, gain: 1.05}
	case "behind":
		return lamp{dir: from(180+rnd.between(-45, 45), rnd.between(25, 55)), direct: 1.1, even: 0.8, gain: 1.35}
	case "sky":
		return lamp{dir: Vec{0, 0, 1}, direct: 0.08, even: 0.3, sky: 0.6, gain: 1.1}
	}
	return lamp{dir: light(side), direct: 1, even: 1, gain: 1}
}

// upper is the share of an overcast sky of even brightness that a surface sees whose
// normal has the vertical component nz: (1 + cos)/2, its view factor.
func (l *lamp) upper(nz float64) float64 { return l.sky * (1 + nz) / 2 }

// matt is the light on a matt surface that stands about in the scene.
func (l *lamp) matt(n Vec) float64 {
	return l.even*0.34 + l.direct*0.60*math.Max(0, n.dot(l.dir)) + l.upper(n.Z)
}

// exposed is how bright a white surface in full light comes out.
func (p Params) exposed() float32 { return exposure[p.Light] * newLamp(p).gain }
