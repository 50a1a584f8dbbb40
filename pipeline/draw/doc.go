// Package draw puts lines, areas and text on video frames.
//
// In flow a frame in planar YUV 4:2:0 and shapes in pixels of the upright
// picture: x right, y down, pixel centres at integer coordinates, so that the
// pixel (3, 4) covers 2.5 to 3.5 across. Out flows the same frame, changed in
// place. Only the pixels of a shape are touched; the picture is never turned
// into RGB and back, so everything else stays bit for bit.
//
// Every shape becomes a mask of coverage, 0 to 255 a pixel, and the mask is
// blended with one colour. Areas are covered exactly (signed area under each
// edge, summed along the row); strokes by their distance from the pixel's
// centre. A chroma sample takes the mean coverage of its pixels.
//
// Shapes that lie outside the frame, wholly or in part, are clipped; points
// that are no numbers draw nothing. The package never fails, never scales a
// frame, opens no file and needs no native library.
package draw
