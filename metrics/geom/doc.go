// Package geom is the geometry of one camera that films a swing: what flows in and
// out are points of the picture and places before it.
//
// Picture: px, origin at the centre of the top-left pixel of the upright picture, x
// right, y down. World: m, x to the pitcher, y towards the camera, z up, origin at the
// foot of the lens's axis on the plane of the pitch, which is y = 0. Angles are
// radians.
//
// The camera is a pinhole without distortion, turned by roll, then tilt, then yaw. It
// never guesses: a lens at an unknown distance stands FarM away, and shows no depth.
package geom
