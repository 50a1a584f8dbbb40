package pipeline

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/scene"
)

// The network sees what no band shows, on a hitter whose joints are known. It is
// skipped without the network, which deploy/pose.sh fetches.
func TestNetworkOnScene(t *testing.T) {
	dir := os.Getenv("ASHLINE_POSE")
	if dir == "" {
		t.Skip("the pose network is not there: run deploy/pose.sh and set ASHLINE_POSE to its folder")
	}
	p := scene.Random(36, scene.Clean)
	p.Bands = nil
	tmp := t.TempDir()
	files, err := scene.Write(t.Context(), tmp, "swing", p, scene.WriteOptions{})
	if err != nil {
		t.Fatal(err)
	}
	sc, err := scene.New(p)
	if err != nil {
		t.Fatal(err)
	}
	res, err := Run(t.Context(), Job{Clip: files.Clip, Cards: []string{files.Card}, OutDir: filepath.Join(tmp, "out"), Products: []Product{TrackProduct}, PoseDir: dir})
	if err != nil {
		t.Fatal(err)
	}
	got, want := res.Swings[0].Metrics, sc.Truth().Swings[0].Metrics
	for name, c := range map[string]struct {
		v    metrics.Value
		want float64
		most float64
	}{
		"elbow at launch": {got[catalogue.BodyLeadElbowLaunchDeg], want["body.lead_elbow_launch_deg"], 15},
		"head drift":      {got[catalogue.BodyHeadDriftM], want["body.head_drift_m"], 0.06},
	} {
		switch {
		case !c.v.Known():
			t.Errorf("%s: %s", name, c.v)
		case c.v.Low == nil || *c.v.Low > c.want || *c.v.High < c.want || max(c.v.Float()-c.want, c.want-c.v.Float()) > c.most:
			t.Errorf("%s: %s, want %.3g", name, c.v, c.want)
		case !strings.Contains(c.v.Why, "pose network"):
			t.Errorf("%s does not say where it is from: %q", name, c.v.Why)
		}
	}
	if got[catalogue.BodyHandsBuckleLagM].Known() {
		t.Errorf("hands to buckle without a mark on the buckle: %s", got[catalogue.BodyHandsBuckleLagM])
	}
	track, err := os.ReadFile(filepath.Join(tmp, "out", "track.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if head, _, _ := strings.Cut(string(track), "\n"); !strings.Contains(head, "back_shoulder_x_px") {
		t.Errorf("track.csv has no column for the back shoulder: %s", head)
	}
}
