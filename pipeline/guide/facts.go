package guide

// fact explains a field that is no metric of a swing.
type fact struct{ path, means string }

// factGroups holds the fields around the swings. The card is left out: it is the
// coach's own, as read.
var factGroups = []struct {
	title, lead string
	facts       []fact
}{
	{
		"How far to trust the clip", "One block for the whole clip. Look here first when numbers are missing or intervals wide.",
		[]fact{
			{"quality.scale_source", "what tells the scale best: the card's `points` or `plate`, `bat_marks` or `ball` as the clip shows them, or `none`"},
			{"quality.m_per_px", "metres that one pixel shows, in the plane of the pitch; 0 without a scale"},
			{"quality.scale_error", "how far the scale may be off, as a share of 1 (standard error)"},
			{"quality.frame", "`lifted` when lengths are corrected for depth, else `plane`"},
			{"quality.barrel_seen_frames", "frames in which the barrel's band was seen"},
			{"quality.barrel_flow_frames", "frames in which it was carried on from its neighbours' pictures"},
			{"quality.barrel_filled_frames", "frames in which only the smoothed path knows where it is"},
			{"quality.ball_seen_frames", "frames in which the ball was seen, on its way in and out"},
			{"quality.steadied_px", "largest camera movement that was taken out, pixels"},
			{"quality.path_confidence", "share of the frames within 60 ms of contact in which the barrel was seen, 0 to 1"},
			{"quality.colour_margin", "share of the band's colour in the picture that is the band: 1 when nothing else has that colour"},
			{"quality.exposure_s", "how long each frame was exposed, seconds, read off the ball's blur; 0 unknown"},
			{"quality.exposure_sd_s", "how sure that is (standard deviation), seconds"},
			{"quality.notes", "sentences about the clip as a whole"},
		},
	},
	{
		"The clip", "",
		[]fact{
			{"clip.sha256", "fingerprint of the file: the same file always has the same"},
			{"clip.width", "of the upright picture, pixels"},
			{"clip.height", "of the upright picture, pixels"},
			{"clip.frames", "frames that were read"},
			{"clip.capture_fps", "frames a second while filming"},
			{"clip.file_fps", "frames a second when played; smaller in a slow-motion export"},
			{"clip.duration_s", "length while filming, seconds"},
			{"clip.rotate_deg", "clockwise turn that makes the picture upright, degrees"},
			{"clip.codec", "how the video is stored"},
		},
	},
	{
		"The rest of the file", "`card` repeats what the coach wrote on the card.",
		[]fact{
			{"schema", "version of this file's form"},
			{"program", "program and version that measured"},
			{"swings[].index", "number of the swing in the clip, counted from 0"},
			{"swings[].outcome", "what became of the swing: `hit`, the ball goes back towards the pitcher; `tip`, it is touched and goes on; `miss`, it is not touched; `check`, the barrel slows before it comes to the pitch line, so that there is no contact; `none`, no ball was seen that would tell"},
			{"swings[].outcome_probability", "how likely that is, 0 to 1"},
			{"findings[].id", "name of the rule that speaks"},
			{"findings[].key", "key position to look at: `launch`, `slot`, `lag`, `contact` or `finish`"},
			{"findings[].text", "the finding in one plain sentence; the list is empty when there is none"},
			{"findings[].evidence", "what it rests on: metric, value, interval, and the frame of the key position"},
			{"findings[].swing", "index of the swing; of the first one when it rests on several"},
			{"findings[].topic", "`line`, `arm`, `hands`, `hip`, `shoulder`, `timing` or `finish`"},
			{"findings[].praise", "true for good news"},
			{"findings[].next", "true for a thing to work on next; at most two, at the end, each told above as well"},
		},
	},
}
