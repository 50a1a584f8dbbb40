package scene

import "math"

// noise is a small fast generator of uniform and Gaussian numbers. It is its
// own so that a seed gives the same scene with every version of Go.
type noise struct{ s uint64 }

// newNoise mixes a seed and a stream number into a state.
func newNoise(seed, stream uint64) *noise {
	n := &noise{seed*0x9e3779b97f4a7c15 + stream*0xbf58476d1ce4e5b9 + 0x94d049bb133111eb}
	n.next()
	n.next()
	return n
}

// newStream is a generator that has nothing in common with that of a neighbouring seed;
// newNoise of the next seed is the same sequence, one later.
func newStream(seed, stream uint64) *noise { return newNoise(newNoise(seed, stream).next(), stream) }

// next steps a 64-bit mixing counter.
func (n *noise) next() uint64 {
	n.s += 0x9e3779b97f4a7c15
	z := n.s
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9
	z = (z ^ (z >> 27)) * 0x94d049bb133111eb
	return z ^ (z >> 31)
}

// uniform is in 0..1.
func (n *noise) uniform() float64 { return float64(n.next()>>11) / (1 << 53) }

// between is uniform in lo..hi.
func (n *noise) between(lo, hi float64) float64 { return lo + (hi-lo)*n.uniform() }

// gauss is standard normal.
func (n *noise) gauss() float64 {
	return math.Sqrt(-2*math.Log(1-n.uniform())) * math.Cos(2*math.Pi*n.uniform())
}

// hash2 gives a repeatable number in 0..1 for a lattice point.
func hash2(x, y int, seed uint64) float64 {
	h := uint64(int64(x))*0x9e3779b97f4a7c15 ^ uint64(int64(y))*0xc2b2ae3d27d4eb4f ^ seed*0x165667b19e3779f9
	h = (h ^ (h >> 29)) * 0xbf58476d1ce4e5b9
	h ^= h >> 32
	return float64(h&0xffffff) / 0xffffff
}

// grain is smooth value noise in 0..1 with unit lattice.
func grain(x, y float64, seed uint64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int(fx), int(fy)
	u, v := x-fx, y-fy
	u, v = u*u*(3-2*u), v*v*(3-2*v)
	a := hash2(ix, iy, seed)*(1-u) + hash2(ix+1, iy, seed)*u
	b := hash2(ix, iy+1, seed)*(1-u) + hash2(ix+1, iy+1, seed)*u
	return a*(1-v) + b*v
}
