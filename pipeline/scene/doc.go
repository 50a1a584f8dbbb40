// Package scene is the synthetic cage: seeded three-dimensional scenes of a
// hitter swinging at a pitch, rendered to video with exact truth. Params flow
// in; out come frames (8-bit sRGB), a clip, its card and its truth. It is the
// independent oracle for the measuring code and computes nothing with it.
//
// World: x metres from the plate's middle to the pitcher, y metres across the
// plate towards third base, z metres up; t seconds, 0 at contact. The plate
// spans x = ±0.216 m and the pitch flies in about the plane y = 0. Speeds m/s,
// angles degrees.
//
// Camera: a pinhole at the given distance abreast of the plate's centre. Yaw
// turns it about its own lens, positive towards the pitcher; tilt is positive
// upwards; roll is positive for a clockwise turn of the camera as its user
// sees it, so the picture turns counter-clockwise. Pixel centres are whole
// numbers, the origin is the centre of the upright picture's top-left pixel.
//
// Time: frame i is exposed from t_i - shutter/2 to t_i + shutter/2, and t_i is
// its mid-exposure at the picture's top row; row r is later by
// readout·r/(H-1). The file's presentation time of frame i is
// t_i - t_0 (times capture rate over file rate in a slow-motion export).
//
// Light: one lamp and what comes from all around, on matt surfaces by the cosine
// of the angle to it, an overcast sky by its view factor. A hand's shake, pan or
// bump turns the camera between frames and does not blur within one.
//
// Ball flight: gravity, drag and lift by Runge-Kutta; drag and lift forms as in
// A. M. Nathan, Am. J. Phys. 76 (2008) 119, lift coefficient after Sawicki,
// Hubbard and Stronge, Am. J. Phys. 71 (2003) 1152. Impact: collinear, exit
// speed e_A·v_pitch + (1+e_A)·v_bat (Nathan, Am. J. Phys. 71 (2003) 134).
package scene
