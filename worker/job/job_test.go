package job_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"ashline/pipeline/bounds"
	"ashline/worker/job"
)

func good() job.Job {
	j := job.Job{Schema: job.Schema, Bucket: "ashline", Key: "clips/fernhill/fh-001/ab/clip.mp4", Cards: []string{"clips/session.card.yaml"}, Name: "fh-001 vor/nach ü"}
	j.ID = j.NewID("")
	return j
}

func TestCheck(t *testing.T) {
	t.Parallel()
	if err := good().Check(); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*job.Job){
		"schema":           func(j *job.Job) { j.Schema = "ashline.job/2.0" },
		"no id":            func(j *job.Job) { j.ID = "" },
		"id as header":     func(j *job.Job) { j.ID = "x\r\nNats-Rollup: all" },
		"id as subject":    func(j *job.Job) { j.ID = "a.>" },
		"bucket":           func(j *job.Job) { j.Bucket = "../x" },
		"bucket in caps":   func(j *job.Job) { j.Bucket = "Clips" },
		"key up":           func(j *job.Job) { j.Key = "a/../../b.mp4" },
		"key absolute":     func(j *job.Job) { j.Key = "/etc/b.mp4" },
		"key hidden":       func(j *job.Job) { j.Key = "a/.b/c.mp4" },
		"key with newline": func(j *job.Job) { j.Key = "a\nb.mp4" },
		"key backslash":    func(j *job.Job) { j.Key = `a\..\b.mp4` },
		"key not a clip":   func(j *job.Job) { j.Key = "a/b.exe" },
		"key too long":     func(j *job.Job) { j.Key = strings.Repeat("a/", 500) + "b.mp4" },
		"part too long":    func(j *job.Job) { j.Key = strings.Repeat("a", 250) + ".mp4" },
		"key not UTF-8":    func(j *job.Job) { j.Key = "a\xff.mp4" },
		"right-to-left":    func(j *job.Job) { j.Key = "a\u202egpj.mp4" },
		"card up":          func(j *job.Job) { j.Cards = []string{"../c.yaml"} },
		"many cards":       func(j *job.Job) { j.Cards = make([]string, 9) },
		"name":             func(j *job.Job) { j.Name = "x\x1b[2J" },
		"long name":        func(j *job.Job) { j.Name = strings.Repeat("x", 200) },
		"hash":             func(j *job.Job) { j.ClipSHA256 = "abc" },
		"product":          func(j *job.Job) { j.Products = []string{"everything"} },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			j := good()
			spoil(&j)
			err := j.Check()
			if !errors.Is(err, job.ErrBadInput) {
				t.Fatalf("got %v, want ErrBadInput", err)
			}
			if len(err.Error()) > 300 || strings.ContainsAny(err.Error(), "\r\n\x1b") {
				t.Errorf("a stranger's text comes through: %q", err)
			}
		})
	}
}

func TestNewID(t *testing.T) {
	t.Parallel()
	base := good()
	seen := map[string]string{base.NewID(""): "base"}
	if got := base.NewID(""); seen[got] != "base" {
		t.Error("the same job has two ids")
	}
	for name, change := range map[string]func(*job.Job){
		"bucket":   func(j *job.Job) { j.Bucket = "other" },
		"key":      func(j *job.Job) { j.Key = "x.mp4" },
		"no card":  func(j *job.Job) { j.Cards = nil },
		"boundary": func(j *job.Job) { j.Cards = []string{"clips/session.card.yaml", ""} },
		"product":  func(j *job.Job) { j.Products = []string{"metrics"} },
		"content":  func(j *job.Job) { j.ClipSHA256 = strings.Repeat("a", 64) },
	} {
		j := good()
		change(&j)
		if old, ok := seen[j.NewID("")]; ok {
			t.Errorf("%s has the id of %s", name, old)
		}
		seen[j.NewID("")] = name
	}
	if base.NewID("again") == base.NewID("") {
		t.Error("salt changes nothing")
	}
}

func TestParse(t *testing.T) {
	t.Parallel()
	raw, err := json.Marshal(good())
	if err != nil {
		t.Fatal(err)
	}
	got, err := job.Parse(raw)
	if err != nil || got.ID != good().ID || got.Key != good().Key {
		t.Fatalf("got %+v, %v", got, err)
	}
	for name, c := range map[string]struct {
		data string
		want error
	}{
		"two values":  {string(raw) + "{}", job.ErrBadInput},
		"too long":    {strings.Repeat(" ", job.MaxBytes+1), job.ErrBadInput},
		"empty":       {"", job.ErrBadInput},
		"array":       {"[]", job.ErrBadInput},
		"two records": {`{"Records":[{},{}]}`, job.ErrBadInput},
		"bad escape":  {`{"Records":[{"eventName":"ObjectCreated:Put","s3":{"object":{"key":"%zz.mp4"}}}]}`, job.ErrBadInput},
		"escapes":     {`{"Records":[{"eventName":"ObjectCreated:Put","s3":{"bucket":{"name":"ashline"},"object":{"key":"..%2F..%2Fa.mp4"}}}]}`, job.ErrBadInput},
		"a still":     {`{"Records":[{"eventName":"ObjectCreated:Put","s3":{"bucket":{"name":"ashline"},"object":{"key":"a.png"}}}]}`, job.ErrNotAClip},
	} {
		if _, err := job.Parse([]byte(c.data)); !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", name, err, c.want)
		}
	}
}

// parse is job.Parse within bounds: a message has at most job.MaxBytes, and what is read
// of a larger one is its length.
func parse(t *testing.T, data []byte) (j job.Job, err error) {
	t.Helper()
	bounds.Limit{Bytes: 1<<20 + 64*job.MaxBytes, CPU: time.Second}.Call(t, func() { j, err = job.Parse(data) })
	return j, err
}

func FuzzParse(f *testing.F) {
	raw, _ := json.Marshal(good())
	f.Add(raw)
	f.Add([]byte(`{"Records":[{"eventName":"ObjectCreated:Put","s3":{"bucket":{"name":"ashline"},"object":{"key":"a%20b.mp4","eTag":"e"}}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		j, err := parse(t, data)
		if err == nil && j.Check() != nil {
			t.Fatalf("accepted what Check refuses: %+v", j)
		}
		if err != nil && job.Classify(err) == job.Bug {
			t.Fatalf("no class: %v", err)
		}
	})
}

// FuzzStoreEvent feeds an event's own fields, which a store fills with an uploader's
// words: whatever comes through is a clip's plain key, and its job goes through a
// message unchanged.
func FuzzStoreEvent(f *testing.F) {
	f.Add("s3:ObjectCreated:Put", "ashline", "fernhill%2Ffh-017%2Fbefore+1.mp4", "e1")
	f.Add("s3:ObjectCreated:CompleteMultipartUpload", "ashline", "..%2F..%2Fa.mp4", "")
	f.Add("s3:ObjectRemoved:Delete", "ashline", "a.mp4", "e")
	f.Add("ObjectCreated", "a..b", "a%0d%0aNats-Msg-Id:x.mp4", "e")
	f.Add("ObjectCreated", "ashline", "%ff%fe.mp4", "e")
	f.Fuzz(func(t *testing.T, name, bucket, key, etag string) {
		object := map[string]any{"key": key, "eTag": etag}
		data, err := json.Marshal(map[string]any{"Records": []any{map[string]any{
			"eventName": name, "s3": map[string]any{"bucket": map[string]any{"name": bucket}, "object": object},
		}}})
		if err != nil {
			t.Skip()
		}
		j, err := parse(t, data)
		if err != nil {
			if c := job.Classify(err); c != job.BadInput && c != job.Skip {
				t.Fatalf("class %s: %v", c, err)
			}
			return
		}
		if strings.Contains(j.Key, "..") && strings.Contains("/"+j.Key+"/", "/../") || strings.HasPrefix(j.Key, "/") || strings.ContainsAny(j.Key+j.Bucket+j.ID, "\x00\r\n") {
			t.Fatalf("accepted %+v", j)
		}
		raw, err := json.Marshal(j)
		if err != nil {
			t.Fatal(err)
		}
		again, err := job.Parse(raw)
		if err != nil || !reflect.DeepEqual(again, j) {
			t.Fatalf("sent on: got %+v, %v, want %+v", again, err, j)
		}
	})
}

func TestCheckSubject(t *testing.T) {
	t.Parallel()
	for s, ok := range map[string]bool{
		"swings.measured": true, "a": true, "": false, "a..b": false, "a.*": false, "a.>": false, "a b": false, "a.\r\nPUB": false, ".a": false, "a.": false,
	} {
		if got := job.CheckSubject(s) == nil; got != ok {
			t.Errorf("%q: got %v, want %v", s, got, ok)
		}
	}
}

func TestClassifyAndExitCodes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		err   error
		class job.Class
		code  int
	}{
		{job.ErrBadInput, job.BadInput, 4},
		{job.ErrUnreachable, job.Transient, 5},
		{job.ErrDenied, job.Transient, 5},
		{job.ErrTransient, job.Transient, 1},
		{job.ErrLostLease, job.LostLease, 1},
		{job.ErrInterrupted, job.Interrupted, 130},
		{job.ErrNotAClip, job.Skip, 4},
		{job.ErrPartly, job.Partly, 3},
		{context.DeadlineExceeded, job.Transient, 1},
		{errors.New("index out of range"), job.Bug, 1},
	} {
		err := fmt.Errorf("x: %w", c.err)
		if got := job.Classify(err); got != c.class {
			t.Errorf("%v: got class %s, want %s", c.err, got, c.class)
		}
		if got := job.ExitCode(err); got != c.code {
			t.Errorf("%v: got code %d, want %d", c.err, got, c.code)
		}
	}
	if job.Classify(nil) != job.Done {
		t.Error("no error is not done")
	}
}
