#include "native.h"

#include <cstring>
#include <exception>
#include <stdexcept>

#include <opencv2/core.hpp>
#include <opencv2/tracking.hpp>

namespace {

typedef cv::Ptr<cv::Tracker> Handle;

void tell(contrast_why why, const char *text) {
	if (why.size == 0) return;
	std::strncpy(why.text, text, why.size - 1);
	why.text[why.size - 1] = 0;
}

// guard runs f and turns whatever it throws into bad.
template <typename R, typename F> R guard(contrast_why why, R bad, F f) {
	try {
		return f();
	} catch (const std::exception &e) {
		tell(why, e.what());
	} catch (...) {
		tell(why, "unknown exception");
	}
	return bad;
}

Handle make(int kind) {
	switch (kind) {
	case CONTRAST_CSRT:
		return cv::TrackerCSRT::create();
	case CONTRAST_KCF:
		return cv::TrackerKCF::create();
	}
	throw std::invalid_argument("no such tracker");
}

} // namespace

void contrast_one_thread(void) {
	cv::setNumThreads(1);
}

void *contrast_new(int kind, contrast_why why) {
	return guard<void *>(why, nullptr, [&] { return new Handle(make(kind)); });
}

int contrast_init(void *tracker, void *mat, contrast_box box, contrast_why why) {
	return guard(why, -1, [&] {
		(*static_cast<Handle *>(tracker))->init(*static_cast<cv::Mat *>(mat), cv::Rect(box.x, box.y, box.width, box.height));
		return 0;
	});
}

int contrast_update(void *tracker, void *mat, contrast_box *box, contrast_why why) {
	return guard(why, -1, [&] {
		cv::Rect r(box->x, box->y, box->width, box->height);
		const bool found = (*static_cast<Handle *>(tracker))->update(*static_cast<cv::Mat *>(mat), r);
		*box = contrast_box{r.x, r.y, r.width, r.height};
		return found ? 1 : 0;
	});
}

void contrast_free(void *tracker) {
	delete static_cast<Handle *>(tracker);
}
