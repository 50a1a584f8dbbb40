// The part of OpenCV that gocv does not bind: CSRT, KCF and the number of
// threads. No exception passes this interface; its text is copied to why.
#ifndef ASHLINE_CONTRAST_NATIVE_H
#define ASHLINE_CONTRAST_NATIVE_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { CONTRAST_CSRT = 1, CONTRAST_KCF = 2 };

typedef struct {
	int x, y, width, height;
} contrast_box;

typedef struct {
	char *text;
	size_t size;
} contrast_why;

void contrast_one_thread(void);

// contrast_new returns NULL when it fails.
void *contrast_new(int kind, contrast_why why);

// contrast_init returns 0, or -1 when it fails. mat is a cv::Mat.
int contrast_init(void *tracker, void *mat, contrast_box box, contrast_why why);

// contrast_update returns 1 when the object was found, 0 when not, -1 when it fails.
int contrast_update(void *tracker, void *mat, contrast_box *box, contrast_why why);

void contrast_free(void *tracker);

#ifdef __cplusplus
}
#endif

#endif
