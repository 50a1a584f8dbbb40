package main

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/job"

	"github.com/goccy/go-yaml"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func deployFile(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "deploy", name))
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// commandFault holds a command line against the program: the verb and each flag
// must be there and its value must be taken. It returns the verb's command.
func commandFault(args []string) (*cobra.Command, string) {
	cmd, rest, err := newRootCmd().Find(args)
	if err != nil || !cmd.HasParent() {
		return nil, "no verb in " + strings.Join(args, " ")
	}
	if err := cmd.ParseFlags(rest); err != nil {
		return nil, cmd.Name() + ": " + err.Error()
	}
	return cmd, ""
}

var envName = regexp.MustCompile(`\bASHLINE_[A-Z_]+\b`)

// knownEnv are the variables that the program reads, from its own help, and
// those of the queue's file.
func knownEnv() map[string]bool {
	known := map[string]bool{poseEnv: true, rulesEnv: true, wordsEnv: true}
	newWorkCmd().Flags().VisitAll(func(f *pflag.Flag) {
		for _, m := range envName.FindAllString(f.Usage, -1) {
			known[m] = true
		}
	})
	for _, role := range []string{"UPLOADER", "WORKER", "CONSUMER", "OPERATOR"} {
		known["ASHLINE_"+role+"_NKEY"] = true
	}
	return known
}

func TestDeployVariablesAreRead(t *testing.T) {
	t.Parallel()
	known := knownEnv()
	for _, name := range []string{"Dockerfile", "compose.yaml", "kubernetes.yaml", "ashline.service", "roles/queue.conf"} {
		for _, v := range envName.FindAllString(string(deployFile(t, name)), -1) {
			if !known[v] {
				t.Errorf("%s sets %s, which nothing reads", name, v)
			}
		}
	}
	if known["ASHLINE_QUEUE"] || len(known) < 12 {
		t.Errorf("variables are not found as they should be: %v", slices.Sorted(maps.Keys(known)))
	}
}

// strings of a YAML or JSON list.
func texts(t *testing.T, v any) []string {
	t.Helper()
	list, ok := v.([]any)
	if !ok {
		t.Fatalf("%v is no list", v)
	}
	var out []string
	for _, x := range list {
		out = append(out, x.(string))
	}
	return out
}

// at follows keys and indices into parsed YAML.
func at(t *testing.T, v any, path ...any) any {
	t.Helper()
	for _, p := range path {
		switch p := p.(type) {
		case string:
			m, ok := v.(map[string]any)
			if !ok || m[p] == nil {
				t.Fatalf("no %q of %v", p, path)
			}
			v = m[p]
		case int:
			list, ok := v.([]any)
			if !ok || len(list) <= p {
				t.Fatalf("no %d of %v", p, path)
			}
			v = list[p]
		}
	}
	return v
}

func parseYAML(t *testing.T, raw []byte) any {
	t.Helper()
	var v any
	if err := yaml.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// graceOfArgs checks a command line and returns how long the program may take
// to stop with it.
func graceOfArgs(t *testing.T, where string, args []string) time.Duration {
	t.Helper()
	cmd, fault := commandFault(args)
	if fault != "" {
		t.Fatalf("%s: %s", where, fault)
	}
	grace, err := cmd.Flags().GetDuration("grace")
	if err != nil {
		t.Fatal(err)
	}
	return grace
}

func TestDeployCommandLines(t *testing.T) {
	t.Parallel()
	compose := parseYAML(t, deployFile(t, "compose.yaml"))
	stop, err := time.ParseDuration(at(t, compose, "services", "worker", "stop_grace_period").(string))
	if grace := graceOfArgs(t, "compose", texts(t, at(t, compose, "services", "worker", "command"))); err != nil || stop <= grace {
		t.Errorf("compose stops a worker after %s, it may take %s (%v)", stop, grace, err)
	}

	docs := strings.Split(string(deployFile(t, "kubernetes.yaml")), "\n---\n")
	deployment := parseYAML(t, []byte(docs[0]))
	pod := at(t, deployment, "spec", "template", "spec")
	container := at(t, pod, "containers", 0)
	killed, err := time.ParseDuration(fmt.Sprint(at(t, pod, "terminationGracePeriodSeconds"), "s"))
	if grace := graceOfArgs(t, "kubernetes", texts(t, at(t, container, "args"))); err != nil || killed <= grace {
		t.Errorf("kubernetes kills a worker after %s, it may take %s (%v)", killed, grace, err)
	}
	for probe, want := range map[string]string{"livenessProbe": "/livez", "readinessProbe": "/readyz"} {
		if got := at(t, container, probe, "httpGet", "path"); got != want {
			t.Errorf("%s asks %v, want %s", probe, got, want)
		}
	}
	labels := at(t, deployment, "spec", "template", "metadata", "labels")
	if got := at(t, deployment, "spec", "selector", "matchLabels"); !reflect.DeepEqual(got, labels) {
		t.Errorf("the selector %v does not find the pods %v", got, labels)
	}
	if got := at(t, parseYAML(t, []byte(docs[1])), "spec", "selector", "matchLabels"); !reflect.DeepEqual(got, labels) {
		t.Errorf("the budget %v does not find the pods %v", got, labels)
	}

	unit := string(deployFile(t, "ashline.service"))
	start := regexp.MustCompile(`(?m)^ExecStart=\S+/ashline (.*)$`).FindStringSubmatch(unit)
	wait := regexp.MustCompile(`(?m)^TimeoutStopSec=(\d+)$`).FindStringSubmatch(unit)
	if start == nil || wait == nil {
		t.Fatal("the unit has no ExecStart or TimeoutStopSec")
	}
	limit, err := time.ParseDuration(wait[1] + "s")
	if grace := graceOfArgs(t, "unit", strings.Fields(start[1])); err != nil || limit <= grace {
		t.Errorf("the unit kills after %s, it may take %s (%v)", limit, grace, err)
	}

	cmd := regexp.MustCompile(`(?m)^CMD (\[.*\])$`).FindSubmatch(deployFile(t, "Dockerfile"))
	var args []string
	if len(cmd) != 2 || json.Unmarshal(cmd[1], &args) != nil {
		t.Fatal("the Dockerfile has no CMD list")
	}
	graceOfArgs(t, "Dockerfile", args)
}

// workerMiB is what a pod needs beside the analyses: a worker that waits keeps 139 MiB
// (VmRSS of ashline work --embedded, queue and store and shared libraries included),
// and an analysis grows for a tenth of a second before its limit is seen.
const workerMiB = 512

// A clip that takes too much memory must be refused by its worker before the kernel
// ends the pod.
func TestDeployMemory(t *testing.T) {
	t.Parallel()
	doc, _, _ := strings.Cut(string(deployFile(t, "kubernetes.yaml")), "\n---\n")
	container := at(t, parseYAML(t, []byte(doc)), "spec", "template", "spec", "containers", 0)
	cmd, fault := commandFault(texts(t, at(t, container, "args")))
	if fault != "" {
		t.Fatal(fault)
	}
	analysis, err := cmd.Flags().GetInt64("memory")
	if err != nil {
		t.Fatal(err)
	}
	slots, err := cmd.Flags().GetInt("slots")
	if err != nil {
		t.Fatal(err)
	}
	text := at(t, container, "resources", "limits", "memory").(string)
	limit, err := strconv.ParseInt(strings.TrimSuffix(text, "Mi"), 10, 64)
	if err != nil || limit < int64(slots)*analysis+workerMiB {
		t.Errorf("the pod may have %s; %d analyses of %d MiB and the worker need %d (%v)", text, slots, analysis, int64(slots)*analysis+workerMiB, err)
	}
	// What is in a tmpfs is in memory.
	worker := at(t, parseYAML(t, deployFile(t, "compose.yaml")), "services", "worker")
	for _, fs := range texts(t, at(t, worker, "tmpfs")) {
		size := regexp.MustCompile(`size=(\d+)m\b`).FindStringSubmatch(fs)
		if len(size) != 2 || len(size[1]) > 2 || strings.HasPrefix(fs, "/scratch") {
			t.Errorf("compose: tmpfs %s, want less than 100 MB and no clips in it", fs)
		}
	}
	if got := texts(t, at(t, worker, "volumes")); !slices.Contains(got, "/scratch") {
		t.Errorf("compose: volumes %q have no /scratch", got)
	}
}

// An image is built without the repository's history, so its build names the commit:
// the linker sets a variable that must be there, and the build is told in each place.
func TestDeployBuildsNameTheCommit(t *testing.T) {
	t.Parallel()
	docker := string(deployFile(t, "Dockerfile"))
	set := regexp.MustCompile(`-X ashline/(\w+)\.(\w+)=\$REVISION"`).FindStringSubmatch(docker)
	if set == nil || !strings.Contains(docker, "\nARG REVISION\n") {
		t.Fatal("the Dockerfile hands no revision to the linker")
	}
	file, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", "..", set[1], "version.go"), nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	found := false
	ast.Inspect(file, func(n ast.Node) bool {
		v, ok := n.(*ast.ValueSpec)
		if ok && len(v.Names) == 1 && v.Names[0].Name == set[2] && fmt.Sprint(v.Type) == "string" && v.Values == nil {
			found = true
		}
		return true
	})
	if !found {
		t.Errorf("%s has no variable %q of type string for the linker to set", set[1], set[2])
	}
	build := at(t, parseYAML(t, deployFile(t, "compose.yaml")), "services", "worker", "build", "args", "REVISION")
	if build != "${REVISION:-}" {
		t.Errorf("compose builds revision %v", build)
	}
	readme, err := os.ReadFile(filepath.Join("..", "..", "deploy", "README.md"))
	if err != nil || !strings.Contains(string(readme), `--build-arg REVISION="$(git rev-parse HEAD)"`) {
		t.Errorf("deploy/README.md does not say how to build the image (%v)", err)
	}
}

func TestDeployCommandLinesAreEnforced(t *testing.T) {
	t.Parallel()
	for _, line := range []string{"toil --slots 1", "work --slot 1", "work --slots one", "", "--slots 1"} {
		if _, fault := commandFault(strings.Fields(line)); fault == "" {
			t.Errorf("%q is taken", line)
		}
	}
}

// descs collects the names of what is registered.
type descs map[string]bool

var descName = regexp.MustCompile(`fqName: "([^"]+)"`)

func (d descs) Register(c prometheus.Collector) error {
	ch := make(chan *prometheus.Desc, 100)
	c.Describe(ch)
	close(ch)
	for x := range ch {
		name := descName.FindStringSubmatch(x.String())[1]
		d[name] = true
		if strings.HasSuffix(name, "_seconds") {
			d[name+"_bucket"] = true
		}
	}
	return nil
}

func (d descs) MustRegister(cs ...prometheus.Collector) {
	for _, c := range cs {
		_ = d.Register(c)
	}
}

func (d descs) Unregister(prometheus.Collector) bool { return false }

func TestDashboardAsksForWhatThereIs(t *testing.T) {
	t.Parallel()
	known := descs{}
	worker.NewTelemetry(known)
	known.MustRegister(worker.Lag(nil), worker.BuildInfo("0.0.0"))
	var board struct {
		Panels []struct {
			Title   string
			Targets []struct{ Expr string }
		}
	}
	if err := json.Unmarshal(deployFile(t, "dashboard.json"), &board); err != nil {
		t.Fatal(err)
	}
	asked := map[string]bool{}
	name := regexp.MustCompile(`\bashline_[a-z_]+\b`)
	for _, p := range board.Panels {
		if len(p.Targets) == 0 || p.Title == "" {
			t.Errorf("panel %q asks for nothing", p.Title)
		}
		for _, target := range p.Targets {
			names := name.FindAllString(target.Expr, -1)
			if len(names) == 0 {
				t.Errorf("panel %q asks for no metric of ashline", p.Title)
			}
			for _, n := range names {
				asked[strings.TrimSuffix(n, "_bucket")] = true
				if !known[n] {
					t.Errorf("panel %q asks for %s, which there is not", p.Title, n)
				}
			}
		}
	}
	for n := range known {
		if !asked[strings.TrimSuffix(n, "_bucket")] && n != "ashline_jobs_running" {
			t.Errorf("no panel shows %s", n)
		}
	}
}

// The AsyncAPI file says of each subject what the Go types say.
func TestAsyncAPIMatchesTheTypes(t *testing.T) {
	t.Parallel()
	doc := parseYAML(t, deployFile(t, "asyncapi.yaml"))
	if got := at(t, doc, "asyncapi"); got != "3.0.0" {
		t.Errorf("version %v", got)
	}
	subjects := map[string]any{ // address to the type of its payload
		event.SubjectSubmitted: job.Job{}, event.SubjectReturned: job.Job{}, event.SubjectMeasured: event.Measured{},
		event.SubjectFailed: event.Failed{}, event.SubjectProgress: event.Progress{},
	}
	channels := at(t, doc, "channels").(map[string]any)
	if len(channels) != len(subjects) {
		t.Errorf("%d channels, want %d", len(channels), len(subjects))
	}
	for name, c := range channels {
		address := at(t, c, "address").(string)
		typ, ok := subjects[address]
		if !ok {
			t.Errorf("channel %s has the address %s, which there is not", name, address)
			continue
		}
		for message := range at(t, c, "messages").(map[string]any) {
			m := at(t, doc, "components", "messages", message)
			want := event.ContentType
			if strings.HasPrefix(address, "clips.") {
				want = "application/json"
			}
			if got := at(t, m, "contentType"); got != want {
				t.Errorf("%s: content type %v, want %s", message, got, want)
			}
			ref := strings.TrimPrefix(at(t, m, "payload", "$ref").(string), "#/components/schemas/")
			schema := at(t, doc, "components", "schemas", ref)
			properties, required := fields(typ)
			if got := slices.Sorted(maps.Keys(at(t, schema, "properties").(map[string]any))); !slices.Equal(got, properties) {
				t.Errorf("%s: properties %q, the type has %q", ref, got, properties)
			}
			if got := slices.Sorted(slices.Values(texts(t, at(t, schema, "required")))); !slices.Equal(got, required) {
				t.Errorf("%s: required %q, the type has %q", ref, got, required)
			}
		}
	}
	schema := at(t, doc, "components", "schemas", "job", "properties")
	if got := at(t, schema, "schema", "const"); got != job.Schema {
		t.Errorf("job's schema is %v, want %s", got, job.Schema)
	}
	if got := texts(t, at(t, schema, "products", "items", "enum")); !slices.Equal(got, job.Products) {
		t.Errorf("products %q, want %q", got, job.Products)
	}
}

// fields are the JSON names of a struct, and those that are never left out.
func fields(v any) (all, required []string) {
	for f := range reflect.TypeOf(v).Fields() {
		name, rest, _ := strings.Cut(f.Tag.Get("json"), ",")
		all = append(all, name)
		if rest != "omitempty" {
			required = append(required, name)
		}
	}
	slices.Sort(all)
	slices.Sort(required)
	return all, required
}
