package job

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
)

// storeEvent is the part of an S3 event notification that names the object.
type storeEvent struct {
	Records []struct {
		EventName string `json:"eventName"`
		S3        struct {
			Bucket struct {
				Name string `json:"name"`
			} `json:"bucket"`
			Object struct {
				Key  string `json:"key"` // query-escaped, as stores send it
				ETag string `json:"eTag"`
			} `json:"object"`
		} `json:"s3"`
	} `json:"Records"`
}

func parseStoreEvent(data []byte) (Job, error) {
	var e storeEvent
	if err := json.Unmarshal(data, &e); err != nil {
		return Job{}, fmt.Errorf("%w: not a store event: %w", ErrBadInput, err)
	}
	if len(e.Records) != 1 {
		return Job{}, fmt.Errorf("%w: store event with %d records, want 1", ErrBadInput, len(e.Records))
	}
	r := e.Records[0]
	if !strings.Contains(r.EventName, "ObjectCreated") {
		return Job{}, fmt.Errorf("%w: event %q", ErrNotAClip, clip(r.EventName))
	}
	key, err := url.QueryUnescape(r.S3.Object.Key)
	if err != nil {
		return Job{}, fmt.Errorf("%w: key %q: bad escape", ErrBadInput, clip(r.S3.Object.Key))
	}
	if !IsClip(key) {
		return Job{}, fmt.Errorf("%w: key %q", ErrNotAClip, clip(key))
	}
	j := Job{Schema: Schema, Bucket: r.S3.Bucket.Name, Key: key}
	j.ID = j.NewID(r.S3.Object.ETag)
	return j, j.Check()
}
