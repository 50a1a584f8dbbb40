// Package lines finds straight edges in a picture: posts, rails, walls. Luma flows in,
// segments flow out, px with the origin at the centre of the top-left pixel.
//
// The search is OpenCV's line segment detector (von Gioi and others, 2012: LSD), which tells
// edges from texture by how unlikely they are to align by chance.
package lines
