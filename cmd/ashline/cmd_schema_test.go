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
	for i, c := range schema.Contracts() {
		want, err := os.ReadFile(filepath.Join("..", "..", "metrics", "schema", c.FileName()))
		if err != nil {
			t.Fatal(err)
		}
		args := [][]string{{c.Name}}
		if i == 0 {
			args = append(args, []string{})
		}
		for _, a := range args {
			var got bytes.Buffer
			cmd := newSchemaCmd()
			cmd.SetOut(&got)
			cmd.SetArgs(a)
			if err := cmd.ExecuteContext(t.Context()); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got.Bytes(), want) {
				t.Errorf("schema %v: got %d bytes, the released file has %d", a, got.Len(), len(want))
			}
		}
	}
}
