package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"ashline/metrics/schema"
)

// What the command prints is the released file, byte for byte.
func TestSchemaCommandPrintsTheReleasedFile(t *testing.T) {
	t.Parallel()
	want, err := os.ReadFile(filepath.Join("..", "..", "metrics", "schema", schema.FileName()))
	if err != nil {
		t.Fatal(err)
	}
	var got bytes.Buffer
	cmd := newSchemaCmd()
	cmd.SetOut(&got)
	cmd.SetArgs([]string{})
	if err := cmd.ExecuteContext(t.Context()); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.Bytes(), want) {
		t.Errorf("got %d bytes, the released file has %d", got.Len(), len(want))
	}
}
