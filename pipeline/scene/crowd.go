package scene

import "math"

// rival is another hitter farther off, who swings a bat with the same bands.
type rival struct {
	o    outfit
	at   Vec // from the hitter's place
	dtS  float64
	tall float64
	bat  profile
}

// newCrowd draws people who go about behind the hitter in the bands' colours, and a
// rival.
func newCrowd(p Params, farY float64) ([]extra, *rival) {
	rnd := newStream(p.Seed, 0xc20d)
	far := -p.cameraSide()
	var out []extra
	band := hex(p.BarrelColour)
	for k := range 5 {
		o := newOutfit(rnd)
		o.helmet, o.longSleeve = rnd.uniform() < 0.3, true
		if k%2 == 0 {
			o.jersey = band.mix(rgb{0.2, 0.2, 0.2}, 0.1).times(float32(rnd.between(0.5, 1)))
			o.sleeve = o.jersey
		}
		e := extra{
			o: o, x: rnd.between(-2.5, 2.5), y: farY + far*rnd.between(0, 1.2), tall: rnd.between(0.75, 1.05),
			dir: Vec{sign(rnd.uniform() < 0.5), rnd.between(-0.2, 0.2), 0}.unit(), speed: rnd.between(0.7, 2.5), stride: 1,
		}
		if k%2 == 1 {
			e.cuff = &band
		}
		out = append(out, e)
	}
	r := &rival{
		o: newOutfit(rnd), at: Vec{rnd.between(-1.6, 1.8), farY + far*rnd.between(0.6, 1.6), 0}, dtS: rnd.between(-0.35, 0.35),
		tall: rnd.between(0.85, 1.08), bat: newProfile(p.BatLengthM, p.BarrelDiameterM),
	}
	return out, r
}

// walking is where a person is at time t.
func (e *extra) walking(t float64) pose {
	at := Vec{e.x, e.y, 0}.add(e.dir.mul(e.speed * t))
	return standing(at.X, at.Y, e.dir, e.tall, e.stride, 2*math.Pi*t*math.Max(1, e.speed/1.3)/1.05)
}

// cuffs are bands on the wrists.
func (q pose) cuffs(c rgb) []capsule {
	k := 0.35 + 0.65*q.tall
	var out []capsule
	for _, arm := range [2][2]Vec{{q.leadWrist, q.leadElbow}, {q.backWrist, q.backElbow}} {
		to := arm[0].add(arm[1].sub(arm[0]).unit().mul(0.05))
		out = append(out, capsule{a: arm[0], b: to, ra: 0.046 * k, rb: 0.048 * k, colour: c, farSide: true})
	}
	return out
}

// figure is the rival and the bat at time t, by capsules.
func (r *rival) figure(s *Scene, t float64) []capsule {
	side := s.P.hitSide()
	w := t + r.dtS
	shift := Vec{r.at.X, r.at.Y - side*s.swing.shift.Y - side*0.8, 0}
	q := s.swing.pose(w, r.tall).flip(side)
	q.shift(shift)
	out := q.figure(r.o, true)
	grip, dir := s.swing.at(w)
	on := func(m float64) Vec { return grip.add(dir.mul(m - gripM)).flip(side).add(shift) }
	rod := func(from, to float64, c rgb, proud float64) {
		out = append(out, capsule{a: on(from), b: on(to), ra: r.bat.radiusAt(from) * proud, rb: r.bat.radiusAt(to) * proud, colour: c, farSide: true})
	}
	l := s.P.BatLengthM
	wood := s.crew.paint.wood
	rod(0, 0.3*l, wood, 1)
	rod(0.3*l, 0.63*l, wood, 1)
	rod(0.63*l, l-0.03, wood, 1)
	mark := l - s.P.BandFromEndM
	rod(mark-0.4*s.P.BandWidthM, mark+0.4*s.P.BandWidthM, s.crew.paint.barrel, 1.04)
	if s.P.HandsColour != "none" {
		rod(mark-s.P.MarksApartM-0.4*handsBandM, mark-s.P.MarksApartM+0.4*handsBandM, s.crew.paint.hands, 1.1)
	}
	return out
}
