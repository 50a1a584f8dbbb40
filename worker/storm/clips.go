package storm

import (
	"context"
	"fmt"
	"os"

	"ashline/pipeline/scene"
	"ashline/worker/queue"
	"ashline/worker/submit"
)

// render makes small clips; of every six one is cut in half.
func render(ctx context.Context, dir string, n int, seed uint64) ([]submit.Clip, error) {
	for i := range uint64(n) {
		p := scene.Random(5000+100*seed+i, scene.Families()[0])
		p.WidthPx, p.HeightPx, p.FPS, p.LeadInS, p.RunOutS = 320, 180, 120, 0.4, 0.15
		if _, err := scene.Write(ctx, dir, fmt.Sprintf("clip-%04d", i), p, scene.WriteOptions{NoTruth: true}); err != nil {
			return nil, fmt.Errorf("storm: %w", err)
		}
	}
	clips, err := submit.Find(dir)
	if err != nil {
		return nil, err
	}
	for i := 3; i < len(clips); i += 6 {
		raw, err := os.ReadFile(clips[i].Path)
		if err == nil {
			err = os.WriteFile(clips[i].Path, raw[:len(raw)/2], 0o600)
		}
		if err != nil {
			return nil, fmt.Errorf("storm: %w", err)
		}
	}
	return clips, nil
}

// submitAll submits the clips and returns each job's clip hash.
func submitAll(ctx context.Context, queueURL, storeURL string, clips []submit.Clip) (map[string]string, error) {
	q, err := queue.Open(ctx, queue.Config{URL: queueURL})
	if err != nil {
		return nil, err
	}
	defer q.Close()
	st, err := openStore(storeURL)
	if err != nil {
		return nil, err
	}
	defer st.Close()
	out := map[string]string{}
	to := submit.Submitter{Objects: st, Queue: q, Bucket: bucket, Products: []string{"metrics", "track"}}
	for _, c := range clips {
		j, known, err := to.Submit(ctx, c)
		if err != nil {
			return nil, err
		}
		if known {
			return nil, fmt.Errorf("storm: %q was submitted before", c.Path)
		}
		out[j.ID] = j.ClipSHA256
	}
	return out, nil
}
