#include "native.h"

#include <algorithm>
#include <vector>

#include <opencv2/imgproc.hpp>

static float length2(const cv::Vec4f &s) {
	const float dx = s[2] - s[0], dy = s[3] - s[1];
	return dx * dx + dy * dy;
}

int lines_find(const unsigned char *luma, int w, int h, float *out, int most) {
	try {
		const cv::Mat picture(h, w, CV_8UC1, const_cast<unsigned char *>(luma));
		std::vector<cv::Vec4f> found;
		cv::createLineSegmentDetector(cv::LSD_REFINE_STD)->detect(picture, found);
		std::sort(found.begin(), found.end(), [](const cv::Vec4f &a, const cv::Vec4f &b) { return length2(a) > length2(b); });
		const int n = std::min(most, static_cast<int>(found.size()));
		for (int i = 0; i < n; i++) {
			std::copy(found[i].val, found[i].val + 4, out + 4 * i);
		}
		return n;
	} catch (...) {
		return -1;
	}
}
