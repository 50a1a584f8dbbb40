// Package flight is the pitch in the air, in the plane of the pitch: x metres
// towards the pitcher, z metres up, seconds. What flows in: a release, or the
// sightings of a tracked ball with their covariances; what flows out: position,
// velocity, speed and descent (degrees, positive when falling) at any time.
//
// With A the ball's cross-section, m its mass, ρ the air's density, R its radius
// and ω its spin, the forces are drag ½ρ·C_D·A·v² against the velocity and lift
// ½ρ·C_L·A·v² across it, upwards for backspin, with S = Rω/v (A. M. Nathan, Am.
// J. Phys. 76 (2008) 119). C_D and C_L are those of Nathan's trajectory
// spreadsheet (University of Illinois) or of Sawicki, Hubbard & Stronge, Am. J.
// Phys. 71 (2003) 1152; both were measured on baseballs and are only borrowed
// for softballs. Only backspin and topspin are known here: side spin leaves the
// plane. Motion is integrated by the classical Runge-Kutta method.
//
// It never asks what the air or the ball was: both are given or said to be
// assumed by the caller.
package flight
