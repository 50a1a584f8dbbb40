package main_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// floored lists the packages whose files call one another in one direction, so that each
// can be read from the bottom up.
var floored = []string{
	"metrics", "metrics/bat", "metrics/catalogue", "metrics/change", "metrics/contact", "metrics/finding", "metrics/fit", "metrics/flight", "metrics/geom", "metrics/zone",
	"pipeline", "pipeline/compare", "pipeline/draw", "pipeline/follow", "pipeline/inspect", "pipeline/media", "pipeline/overlay", "pipeline/report",
}

// TestHouseFilesCallDownwards refuses files of one package that need each other in a
// circle.
func TestHouseFilesCallDownwards(t *testing.T) {
	t.Parallel()
	files := repoFiles(t)
	for _, dir := range floored {
		t.Run(dir, func(t *testing.T) {
			t.Parallel()
			needs := fileNeeds(t, dir, files)
			if len(needs) == 0 {
				t.Fatal("no file needs another: nothing was read")
			}
			for _, circle := range circles(needs) {
				t.Errorf("files that need each other: %s", strings.Join(circle, ", "))
			}
		})
	}
}

// fileNeeds tells for each file of a package which of the others declare what it uses.
// Other packages are not read: what they declare is of no interest.
func fileNeeds(t *testing.T, dir string, files []string) map[string][]string {
	t.Helper()
	fset := token.NewFileSet()
	var parsed []*ast.File
	for _, name := range files {
		if path.Dir(name) != dir || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, filepath.Join(root, name), nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		parsed = append(parsed, f)
	}
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: nothing{}, Error: func(error) {}, FakeImportC: true}
	pkg, _ := conf.Check(dir, fset, parsed, info) // errors are of what was not read
	needs := map[string][]string{}
	for id, obj := range info.Uses {
		if obj.Pkg() != pkg || !obj.Pos().IsValid() {
			continue
		}
		from, to := filepath.Base(fset.Position(id.Pos()).Filename), filepath.Base(fset.Position(obj.Pos()).Filename)
		if from != to && !slices.Contains(needs[from], to) {
			needs[from] = append(needs[from], to)
		}
	}
	return needs
}

// nothing imports every package as an empty one.
type nothing struct{}

func (nothing) Import(name string) (*types.Package, error) {
	empty := types.NewPackage(name, path.Base(name))
	empty.MarkComplete()
	return empty, nil
}

// circles are the groups of files that need each other, each in order of name.
func circles(needs map[string][]string) [][]string {
	reach := map[string]map[string]bool{}
	for from := range needs {
		seen := map[string]bool{}
		var walk func(string)
		walk = func(at string) {
			for _, to := range needs[at] {
				if !seen[to] {
					seen[to] = true
					walk(to)
				}
			}
		}
		walk(from)
		reach[from] = seen
	}
	var out [][]string
	done := map[string]bool{}
	for from := range needs {
		if done[from] || !reach[from][from] {
			continue
		}
		var group []string
		for to := range reach[from] {
			if reach[to][from] {
				group, done[to] = append(group, to), true
			}
		}
		slices.Sort(group)
		out = append(out, group)
	}
	slices.SortFunc(out, slices.Compare)
	return out
}

func TestHouseCirclesAreFound(t *testing.T) {
	t.Parallel()
	got := circles(map[string][]string{
		"run.go": {"job.go"}, "job.go": {"name.go"}, "a.go": {"b.go"}, "b.go": {"c.go", "name.go"}, "c.go": {"a.go"},
	})
	if want := [][]string{{"a.go", "b.go", "c.go"}}; !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("got circles %q, want %q", got, want)
	}
	if got := circles(map[string][]string{"run.go": {"job.go", "name.go"}, "job.go": {"name.go"}}); len(got) != 0 {
		t.Errorf("got circles %q, want none", got)
	}
}
