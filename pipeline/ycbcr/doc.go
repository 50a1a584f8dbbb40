// Package ycbcr knows how video samples stand for colours: the weights of a matrix and the codes
// of a range. It is pure arithmetic that decoding, drawing and seeing share.
package ycbcr
