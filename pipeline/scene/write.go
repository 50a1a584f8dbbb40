package scene

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"

	"ashline/pipeline/outfile"
)

// ErrEncode is returned when the encoder cannot be run or fails.
var ErrEncode = errors.New("scene: encoding failed")

// WriteOptions say how a scene is written.
type WriteOptions struct {
	// Codec is h264 or hevc. Defaults to h264.
	Codec string
	// CRF is the encoder's quality, lower is better. Defaults to 17.
	CRF int
	// Preset is the encoder's. Defaults to veryfast.
	Preset string
	// Labels go into the card.
	Labels Labels
	// NoisyCard writes the card as a coach would measure it. Defaults to exact.
	NoisyCard bool
	// NoCard and NoTruth leave those files out. Default to false.
	NoCard, NoTruth bool
	// Workers render frames at the same time. Defaults to 1.
	Workers int
	// Progress, when given, is called with frames done and in all.
	Progress func(done, total int)
}

// Files are the files of a written scene.
type Files struct {
	Clip  string `json:"clip"`
	Card  string `json:"card,omitempty"`
	Truth string `json:"truth,omitempty"`
}

// Write renders the scene of p into dir as NAME.mp4, NAME.card.yaml and
// NAME.truth.json. A file that is there is replaced; nothing is left of a clip
// that failed.
func Write(ctx context.Context, dir, name string, p Params, o WriteOptions) (Files, error) {
	s, err := New(p)
	if err != nil {
		return Files{}, err
	}
	if name == "" || filepath.Base(name) != name {
		return Files{}, refuse("name", name, "is not a plain file name")
	}
	if err := outfile.Folder(dir); err != nil {
		return Files{}, fmt.Errorf("scene: %w", err)
	}
	base := filepath.Join(dir, name)
	f := Files{Clip: base + ".mp4"}
	if err := s.encode(ctx, f.Clip, o); err != nil {
		return Files{}, err
	}
	if !o.NoCard {
		f.Card = base + ".card.yaml"
		y, err := CardYAML(s.Card(o.Labels, o.NoisyCard))
		if err != nil {
			return Files{}, err
		}
		if err := outfile.Write(f.Card, y); err != nil {
			return Files{}, fmt.Errorf("scene: %w", err)
		}
	}
	if !o.NoTruth {
		f.Truth = base + ".truth.json"
		j, err := json.Marshal(s.Truth())
		if err != nil {
			return Files{}, fmt.Errorf("scene: truth: %w", err)
		}
		if err := outfile.Write(f.Truth, append(j, '\n')); err != nil {
			return Files{}, fmt.Errorf("scene: %w", err)
		}
	}
	return f, nil
}
