package metrics

import (
	"fmt"
	"math"
	"strings"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// quality says how far a clip can be trusted.
func quality(t Track, v geom.View, s ScaleUse) Quality {
	q := Quality{ScaleSource: s.Source, Frame: "plane", MetresPerPixel: v.MetresPerPixel(geom.Point{v.CX, v.CY}), ScaleError: s.RelSD, ExposureS: t.ExposureS, ExposureSDS: t.ExposureSDS, ColourMargin: t.HueShare, Notes: append([]string{}, s.Refused...)}
	if !s.known() {
		q.ScaleSource, q.MetresPerPixel = "none", 0
		q.Notes = append(q.Notes, "no scale on the card: lengths, speeds and zone are missing")
	}
	for _, b := range t.Barrel {
		switch b.How {
		case Seen:
			q.BarrelSeen++
		case Flow:
			q.BarrelFlow++
		}
	}
	for _, b := range t.Balls {
		q.BallSeen += len(b.In) + len(b.Out)
	}
	q.Notes = append(q.Notes, differences(t, v, s.known())...)
	return q
}

// differences says how far apart band and pose network see the joints that both see.
func differences(t Track, v geom.View, scaled bool) []string {
	var out []string
	for _, name := range JointNames {
		at := map[int]Sample{}
		for _, s := range t.Joints[name] {
			at[s.Frame] = s
		}
		var px []float64
		for _, s := range t.Pose[name] {
			if b, ok := at[s.Frame]; ok {
				px = append(px, math.Hypot(b.XPx-s.XPx, b.YPx-s.YPx))
			}
		}
		if len(px) == 0 {
			continue
		}
		apart := fmt.Sprintf("%.0f px", fit.Median(px))
		if scaled {
			apart = fmt.Sprintf("%.0f mm", 1000*fit.Median(px)*v.MetresPerPixel(geom.Point{v.CX, v.CY}))
		}
		out = append(out, fmt.Sprintf("%s: band and pose network are %s apart (median of %d frames); the band is used", strings.ReplaceAll(name, "_", " "), apart, len(px)))
	}
	return out
}

// seenShare is the share of the frames near contact in which the barrel was seen.
func seenShare(t Track, s []Sample, tc float64) float64 {
	frames, seen := 0, 0
	for _, x := range t.TimesS {
		if math.Abs(x-tc) < seenReachS {
			frames++
		}
	}
	for _, x := range s {
		if x.How == Seen && math.Abs(x.TimeS-tc) < seenReachS {
			seen++
		}
	}
	if frames == 0 {
		return 0
	}
	return math.Min(1, float64(seen)/float64(frames))
}
