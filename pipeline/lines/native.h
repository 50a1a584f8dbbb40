// OpenCV's line segment detector, which gocv does not bind. No exception passes this
// interface.
#ifndef ASHLINE_LINES_NATIVE_H
#define ASHLINE_LINES_NATIVE_H

#ifdef __cplusplus
extern "C" {
#endif

// lines_find looks for segments in 8-bit luma of w by h px and copies up to most of them,
// the longest first, to out: x1, y1, x2, y2 each. It returns how many, or -1 when it fails.
int lines_find(const unsigned char *luma, int w, int h, float *out, int most);

#ifdef __cplusplus
}
#endif

#endif
