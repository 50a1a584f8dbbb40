// Package battest films a bat for tests: what flows in is a view, what flows out is what
// a camera sees of a band, summed over small facets, and a swing in closed form.
//
// It shares nothing with the fit but the camera's geometry: its light, its sizes and its
// swing are its own.
package battest
