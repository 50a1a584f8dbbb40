package scene

import "math"

// sensor turns linear light into noisy 8-bit sRGB. Noise is shot noise of the
// electrons plus read noise.
type sensor struct {
	code  [8192]uint8   // sRGB of k/4095
	sigma [1025]float32 // noise at k/1024, in steps of 1/4095
	gauss [1 << 14]float32
}

// fullWell and readNoise are electrons at white and of the read-out, after the
// denoising that a phone does; chosen by eye for three kinds of light.
var (
	fullWell  = map[string]float64{"bright": 12000, "indoor": 3600, "dim": 1000}
	readNoise = map[string]float64{"bright": 8, "indoor": 9, "dim": 10}
	// exposure is how bright a white surface in full light comes out.
	exposure = map[string]float32{"bright": 1.10, "indoor": 0.95, "dim": 0.72}
)

func newSensor(light string) *sensor {
	s := new(sensor)
	for k := range s.code {
		s.code[k] = uint8(math.Round(255 * srgb(math.Min(1, float64(k)/4095))))
	}
	well, read := fullWell[light], readNoise[light]
	for k := range s.sigma {
		s.sigma[k] = float32(4095 * math.Sqrt(float64(k)/1024*well+read*read) / well)
	}
	rnd := newNoise(7, 7)
	for k := range s.gauss {
		s.gauss[k] = float32(rnd.gauss())
	}
	return s
}

// expose writes the picture lin, three values a pixel, as 8-bit codes.
func (s *sensor) expose(lin []float32, out []byte, rnd *noise) {
	for k := 0; k+2 < len(lin); k += 3 {
		r := rnd.next()
		for c := range 3 {
			v := lin[k+c]
			if v < 0 {
				v = 0
			} else if v > 1 {
				v = 1
			}
			n := v*4095 + 0.5 + s.sigma[int(v*1024)]*s.gauss[r&0x3fff]
			r >>= 14
			if n < 0 {
				n = 0
			} else if n > 8191 {
				n = 8191
			}
			out[k+c] = s.code[int(n)]
		}
	}
}
