package follow

import (
	"testing"

	"ashline/pipeline/pose"
)

// Who bats right-handed leads with the left side, and the other way round.
func TestLeadJoints(t *testing.T) {
	t.Parallel()
	right, left := leadJoints("right"), leadJoints("left")
	for name, want := range map[string][2]int{
		"lead_elbow": {pose.LeftElbow, pose.RightElbow}, "lead_wrist": {pose.LeftWrist, pose.RightWrist},
		"back_hip": {pose.RightHip, pose.LeftHip}, "back_shoulder": {pose.RightShoulder, pose.LeftShoulder},
		"head": {pose.Nose, pose.Nose},
	} {
		if right[name] != want[0] || left[name] != want[1] {
			t.Errorf("%s: %d and %d, want %v", name, right[name], left[name], want)
		}
	}
}

// A person is the hitter only with a wrist at the bat's hands.
func TestHitter(t *testing.T) {
	t.Parallel()
	var p pose.Person
	for k := range p {
		p[k] = pose.Joint{X: 100 + float64(k), Y: 200, Score: 0.6}
	}
	if !isHitter(p, 120, 210, 30) {
		t.Error("the hitter is not known as such")
	}
	if isHitter(p, 400, 210, 30) {
		t.Error("a bystander is taken for the hitter")
	}
	for k := range p {
		p[k].Score = leastJoint - 0.01
	}
	if isHitter(p, 120, 210, 30) {
		t.Error("joints below the least score count")
	}
}
