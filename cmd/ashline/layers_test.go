package main_test

import (
	"fmt"
	"go/parser"
	"go/token"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// importEdge is one import as written in a file. Paths of the project's own
// packages are given without the module's name.
type importEdge struct {
	file string // relative to the repository, slashes
	to   string // import path
}

func (e importEdge) from() string { return path.Dir(e.file) }
func (e importEdge) test() bool   { return strings.HasSuffix(e.file, "_test.go") }

const module = "ashline"

// ranks orders the rooms: an import may go to the same rank or a lower one.
var ranks = map[string]int{"metrics": 1, "pipeline": 2, "worker": 3, "cmd": 4}

// homes lists packages from outside that only some rooms may import. Each
// keeps what it brings (native memory, a protocol, a server) in one place.
var homes = []struct {
	prefix    string
	rooms     []string
	testsFree bool // test files anywhere may import it
}{
	{prefix: "gocv.io", rooms: []string{"pipeline"}},
	{prefix: "github.com/nats-io/nats.go", rooms: []string{"worker/queue", "worker/embed"}},
	{prefix: "github.com/nats-io/nats-server", rooms: []string{"worker/embed"}, testsFree: true},
	{prefix: "github.com/versity/versitygw", rooms: []string{"worker/embed"}, testsFree: true},
	{prefix: "github.com/minio/minio-go", rooms: []string{"worker/store"}},
}

// impure lists what the computing code in metrics may not touch.
var impure = []string{"C", "io/ioutil", "log", "net", "os", "plugin", "runtime/cgo", "syscall", "testing", "unsafe"}

// pureModules lists what metrics may import from outside the standard library.
var pureModules = []string{"gonum.org/v1/gonum", "github.com/invopop/jsonschema"}

// under tells whether p is the package dir or lies below it.
func under(p, dir string) bool { return p == dir || strings.HasPrefix(p, dir+"/") }

func underAny(p string, dirs []string) bool {
	return slices.ContainsFunc(dirs, func(dir string) bool { return under(p, dir) })
}

// layerFaults returns a sentence for each edge that breaks a rule.
func layerFaults(edges []importEdge) []string {
	var faults []string
	fault := func(e importEdge, format string, args ...any) {
		faults = append(faults, fmt.Sprintf("%s imports %q: ", e.file, e.to)+fmt.Sprintf(format, args...))
	}
	for _, e := range edges {
		room, _, _ := strings.Cut(e.from(), "/")
		rank, known := ranks[room]
		if !known {
			fault(e, "%q is no room for Go code", room)
			continue
		}
		if own, ok := strings.CutPrefix(e.to, module+"/"); ok {
			target, _, _ := strings.Cut(own, "/")
			if to, ok := ranks[target]; !ok || to > rank {
				fault(e, "imports run cmd, worker, pipeline, metrics")
			}
			continue
		}
		for _, h := range homes {
			if under(e.to, h.prefix) && !underAny(e.from(), h.rooms) && (!h.testsFree || !e.test()) {
				fault(e, "only for %s", strings.Join(h.rooms, ", "))
			}
		}
		if room != "metrics" || e.test() {
			continue
		}
		first, _, _ := strings.Cut(e.to, "/")
		if underAny(e.to, impure) || strings.Contains(first, ".") && !underAny(e.to, pureModules) {
			fault(e, "metrics is pure computing")
		}
	}
	return faults
}

// readImports returns every import of every Go file, whatever its build tags.
func readImports(t *testing.T) []importEdge {
	t.Helper()
	var edges []importEdge
	for _, name := range repoFiles(t) {
		if !strings.HasSuffix(name, ".go") || strings.Contains(name, "testdata/") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(root, name), nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, spec := range f.Imports {
			to, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			edges = append(edges, importEdge{file: name, to: to})
		}
	}
	return edges
}

func TestHouseLayers(t *testing.T) {
	t.Parallel()
	edges := readImports(t)
	if len(edges) == 0 {
		t.Fatal("found no import at all")
	}
	for _, fault := range layerFaults(edges) {
		t.Error(fault)
	}
}

// TestHouseMetricsIsPureGo looks at everything that metrics links in, however
// far away: no C code outside the standard library, and no OpenCV.
func TestHouseMetricsIsPureGo(t *testing.T) {
	t.Parallel()
	cmd := exec.CommandContext(t.Context(), "go", "list", "-deps",
		"-f", "{{.ImportPath}} {{.Standard}} {{len .CgoFiles}}", "./metrics/...")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if !slices.ContainsFunc(lines, func(l string) bool { return strings.HasPrefix(l, module+"/metrics ") }) {
		t.Fatalf("go list does not show %s/metrics: %q", module, lines)
	}
	for _, fault := range cgoFaults(lines) {
		t.Error(fault)
	}
}

// laboratory lists what renders, spoils and judges: other programs may use it, the
// shipped one does not.
var laboratory = []string{"ashline/pipeline/bench", "ashline/pipeline/contrast", "ashline/pipeline/scene", "ashline/worker/hostile", "ashline/worker/storm"}

// TestHouseProgramLeavesTheLaboratoryOut looks at everything that the shipped program
// links in, however far away.
func TestHouseProgramLeavesTheLaboratoryOut(t *testing.T) {
	t.Parallel()
	for program, want := range map[string]bool{"ashline": false, "ashline-lab": true} {
		cmd := exec.CommandContext(t.Context(), "go", "list", "-deps", "./cmd/"+program)
		cmd.Dir = root
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("go list: %v", err)
		}
		linked := strings.Fields(string(out))
		for _, p := range laboratory {
			if slices.Contains(linked, p) != want {
				t.Errorf("%s links %s: %v, want %v", program, p, !want, want)
			}
		}
	}
}

// cgoFaults takes lines of "import path, is standard, number of cgo files".
func cgoFaults(lines []string) []string {
	var faults []string
	for _, line := range lines {
		fields := strings.Fields(line)
		if len(fields) != 3 || fields[1] == "false" && fields[2] != "0" || under(fields[0], "gocv.io") {
			faults = append(faults, fmt.Sprintf("metrics links in %q", line))
		}
	}
	return faults
}

func TestHouseLayersAreEnforced(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		edge importEdge
		want bool // a fault
	}{
		{"cmd to worker", importEdge{"cmd/ashline/cmd_work.go", "ashline/worker"}, false},
		{"cmd to metrics", importEdge{"cmd/ashline/cmd_schema.go", "ashline/metrics"}, false},
		{"worker to pipeline", importEdge{"worker/run.go", "ashline/pipeline/media"}, false},
		{"within metrics", importEdge{"metrics/zone/zone.go", "ashline/metrics/fit"}, false},
		{"pipeline to worker", importEdge{"pipeline/run.go", "ashline/worker"}, true},
		{"pipeline's test to worker", importEdge{"pipeline/run_test.go", "ashline/worker/event"}, true},
		{"metrics to pipeline", importEdge{"metrics/zone/zone.go", "ashline/pipeline/card"}, true},
		{"metrics' test to pipeline", importEdge{"metrics/zone/zone_test.go", "ashline/pipeline/scene"}, true},
		{"worker to cmd", importEdge{"worker/run.go", "ashline/cmd/ashline"}, true},
		{"to a room that does not exist", importEdge{"worker/run.go", "ashline/util"}, true},
		{"from a room that does not exist", importEdge{"util/run.go", "fmt"}, true},

		{"OpenCV in pipeline", importEdge{"pipeline/mark/scan.go", "gocv.io/x/gocv"}, false},
		{"OpenCV in worker", importEdge{"worker/run.go", "gocv.io/x/gocv"}, true},
		{"OpenCV in cmd's test", importEdge{"cmd/ashline/main_test.go", "gocv.io/x/gocv"}, true},
		{"queue client in queue", importEdge{"worker/queue/queue.go", "github.com/nats-io/nats.go/jetstream"}, false},
		{"queue client in worker", importEdge{"worker/run.go", "github.com/nats-io/nats.go"}, true},
		{"queue server in a test", importEdge{"worker/queue/queue_test.go", "github.com/nats-io/nats-server/v2/server"}, false},
		{"queue server in cmd", importEdge{"cmd/ashline/cmd_work.go", "github.com/nats-io/nats-server/v2/server"}, true},
		{"store client in store", importEdge{"worker/store/store.go", "github.com/minio/minio-go/v7"}, false},
		{"store client in embed", importEdge{"worker/embed/store.go", "github.com/minio/minio-go/v7"}, true},

		{"arithmetic in metrics", importEdge{"metrics/fit/poly.go", "gonum.org/v1/gonum/mat"}, false},
		{"another module in metrics", importEdge{"metrics/fit/poly.go", "github.com/spf13/cobra"}, true},
		{"file in metrics", importEdge{"metrics/fit/poly.go", "os"}, true},
		{"file in metrics' test", importEdge{"metrics/fit/poly_test.go", "os"}, false},
		{"network in metrics", importEdge{"metrics/fit/poly.go", "net/http"}, true},
		{"log in metrics", importEdge{"metrics/fit/poly.go", "log/slog"}, true},
		{"C in metrics", importEdge{"metrics/fit/poly.go", "C"}, true},
		{"file in pipeline", importEdge{"pipeline/media/open.go", "os"}, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			faults := layerFaults([]importEdge{tt.edge})
			if got := len(faults) > 0; got != tt.want {
				t.Errorf("%s imports %q: got faults %q, want any: %v", tt.edge.file, tt.edge.to, faults, tt.want)
			}
		})
	}

	lines := []string{"ashline/metrics false 0", "net true 5", "example.org/native false 2", "gocv.io/x/gocv false 0"}
	if got, want := len(cgoFaults(lines)), 2; got != want {
		t.Errorf("got %d faults for native code in %q, want %d", got, lines, want)
	}
}
