package job

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Schema names the version of the job contract.
const Schema = "ashline.job/1.0"

// MaxBytes bounds a job message; a longer one is bad input.
const MaxBytes = 64 << 10

// maxCards bounds the cards of one clip: the session's and its own, with room.
const maxCards = 4

// Products are the parts of a result bundle that a job may ask for.
var Products = []string{"metrics", "track", "overlay", "stills", "plots", "report", "clean"}

// Job asks for one clip to be measured.
type Job struct {
	Schema     string   `json:"schema"`
	ID         string   `json:"id"`
	Bucket     string   `json:"bucket"`
	Key        string   `json:"key"`                   // the clip's object key
	Cards      []string `json:"cards,omitempty"`       // object keys, the session's card first; empty: looked for beside the clip
	Name       string   `json:"name,omitempty"`        // what the submitter calls the clip
	ClipSHA256 string   `json:"clip_sha256,omitempty"` // hex; checked against what is fetched
	Products   []string `json:"products,omitempty"`    // Default to all but clean.
}

// NewID derives a job's id from what is asked for, so that the same request
// sent twice is recognised as one. The salt tells a wanted repetition apart;
// it is empty otherwise.
func (j Job) NewID(salt string) string {
	h := sha256.New()
	for _, s := range append(append([]string{j.Bucket, j.Key, j.ClipSHA256, salt}, j.Cards...), j.Products...) {
		fmt.Fprintf(h, "%d:%s,", len(s), s)
	}
	return hex.EncodeToString(h.Sum(nil))[:24]
}

// Check reports what is wrong with j, as bad input.
func (j Job) Check() error {
	if j.Schema != Schema {
		return fmt.Errorf("%w: schema %q is not %q", ErrBadInput, clip(j.Schema), Schema)
	}
	if !ValidID(j.ID) {
		return fmt.Errorf("%w: job id %q", ErrBadInput, clip(j.ID))
	}
	if err := CheckBucket(j.Bucket); err != nil {
		return err
	}
	if err := CheckClipKey(j.Key); err != nil {
		return err
	}
	if len(j.Cards) > maxCards {
		return fmt.Errorf("%w: %d cards, more than %d", ErrBadInput, len(j.Cards), maxCards)
	}
	for _, c := range j.Cards {
		if err := CheckKey(c); err != nil {
			return err
		}
	}
	if !validName(j.Name) {
		return fmt.Errorf("%w: name %q", ErrBadInput, clip(j.Name))
	}
	if j.ClipSHA256 != "" && !validSHA256(j.ClipSHA256) {
		return fmt.Errorf("%w: clip_sha256 %q", ErrBadInput, clip(j.ClipSHA256))
	}
	for _, p := range j.Products {
		if !slices.Contains(Products, p) {
			return fmt.Errorf("%w: product %q is none of %s", ErrBadInput, clip(p), strings.Join(Products, ", "))
		}
	}
	return nil
}

// Parse reads a message of clips.submitted: a Job, or a store's own event
// record about a new clip. A store event about anything but a clip gives
// ErrNotAClip.
func Parse(data []byte) (Job, error) {
	if len(data) > MaxBytes {
		return Job{}, fmt.Errorf("%w: message of %d bytes, more than %d", ErrBadInput, len(data), MaxBytes)
	}
	var head struct {
		Records json.RawMessage `json:"Records"`
	}
	if json.Unmarshal(data, &head) == nil && head.Records != nil {
		return parseStoreEvent(data)
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	var j Job
	if err := dec.Decode(&j); err != nil {
		return Job{}, fmt.Errorf("%w: not a job: %w", ErrBadInput, err)
	}
	if _, err := dec.Token(); err != io.EOF {
		return Job{}, fmt.Errorf("%w: not a job: more than one value", ErrBadInput)
	}
	return j, j.Check()
}

// clip bounds a stranger's text before it goes into an error.
func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// Excerpt is a stranger's text, short enough for an error.
func Excerpt(s string) string { return clip(s) }
