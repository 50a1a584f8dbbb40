package main

import (
	"bytes"
	"testing"
)

// An odd id is a usage error before anything is connected to; a plain one gets
// as far as the missing queue or store, which is a usage error too but another.
func TestUpkeepVerbsCheckIDs(t *testing.T) {
	t.Parallel()
	for _, verb := range []string{"retry", "drop", "forget"} {
		for _, c := range []struct {
			id   string
			word string
		}{
			{"../fh-017", "is no id"}, {"a b", "is no id"}, {"", "is no id"}, {"fh*", "is no id"}, {"fh-017", "is required"},
		} {
			root := newRootCmd()
			var out bytes.Buffer
			root.SetOut(&out)
			root.SetErr(&out)
			root.SetArgs([]string{verb, "--config", "", "--", c.id})
			err := root.ExecuteContext(t.Context())
			if err == nil {
				t.Errorf("%s %q is taken", verb, c.id)
				continue
			}
			if got := exitCode(err, false); got != 2 || !bytes.Contains([]byte(err.Error()), []byte(c.word)) {
				t.Errorf("%s %q: got %v with code %d, want %q and %d", verb, c.id, err, got, c.word, 2)
			}
		}
	}
}
