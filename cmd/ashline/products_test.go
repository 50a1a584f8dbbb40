package main

import (
	"slices"
	"testing"

	"ashline/pipeline"
	"ashline/worker/job"
)

// What a job may ask for is what the analysis knows.
func TestProductsOfJobsAndClips(t *testing.T) {
	t.Parallel()
	var want []string
	for _, p := range pipeline.Products {
		want = append(want, string(p))
	}
	if !slices.Equal(job.Products, want) {
		t.Errorf("jobs may ask for %q, the analysis makes %q", job.Products, want)
	}
}
