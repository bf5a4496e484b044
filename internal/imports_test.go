// Package internal_test holds the house rule: which package may see which. The
// picture in DEVELOPERS.md is drawn from the same table, and a test compares
// them.
package internal_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// maySee lists, for every package of the project, the packages of the project
// its code may import. Tests may see more: they build whole paths. A package
// missing here is an error, so that nobody adds one without a place.
var maySee = map[string][]string{
	"internal/si":          {},
	"internal/specimen":    {"internal/si"},
	"internal/wire":        {},
	"internal/picture":     {},
	"internal/part":        {"internal/si"},
	"internal/rig":         {"internal/part", "internal/si", "internal/gum"},
	"internal/pull":        {"internal/si", "internal/rig", "internal/specimen"},
	"internal/feed":        {},
	"internal/plan":        {"internal/si", "internal/rig", "internal/specimen", "internal/gum", "internal/budget"},
	"internal/sim":         {"internal/si", "internal/rig", "internal/feed"},
	"internal/sim/ptylink": {"internal/sim"},
	"internal/record":      {"internal/si", "internal/rig", "internal/specimen", "internal/wire", "internal/pull"},
	"internal/share":       {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/gum"},
	"internal/sheet":       {"internal/si"},
	"internal/strength":    {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/gum", "internal/budget"},
	"internal/report":      {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/record", "internal/strength", "internal/budget", "internal/finish", "internal/batch", "internal/compare", "internal/trace"},
	"internal/watch":       {"internal/si", "internal/rig", "internal/specimen", "internal/wire", "internal/feed", "internal/pull", "internal/record"},
	"internal/shelf":       {"internal/si", "internal/specimen", "internal/pull", "internal/record", "internal/rig", "internal/strength", "internal/control"},
	"internal/replay":      {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/record", "internal/watch"},
	"internal/bench":       {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/feed", "internal/record", "internal/strength", "internal/watch", "internal/finish", "internal/calib", "internal/control", "internal/shelf"},
	"internal/gum":         {},
	"internal/budget":      {"internal/si", "internal/rig", "internal/specimen", "internal/gum"},
	"internal/calib":       {"internal/si", "internal/rig", "internal/gum", "internal/sheet"},
	"internal/calib/live":  {"internal/si", "internal/rig", "internal/calib", "internal/feed", "internal/pull", "internal/specimen", "internal/watch"},
	"internal/control":     {"internal/gum"},
	"internal/batch":       {"internal/gum"},
	"internal/compare":     {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/budget", "internal/record", "internal/strength", "internal/batch"},
	"internal/trace":       {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/record"},
	"internal/finish":      {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/record", "internal/strength", "internal/budget"},
	"tui":                  {"internal/si", "internal/rig", "internal/specimen", "internal/pull", "internal/watch", "internal/strength", "internal/bench", "internal/shelf", "internal/replay", "internal/plan", "internal/finish", "internal/calib", "internal/calib/live", "internal/control", "internal/budget", "internal/record", "internal/batch", "internal/compare", "internal/trace", "tui/chart", "tui/quiet"},
	"tui/chart":            {"internal/si", "internal/watch"},
	"tui/quiet":            {},
	"cmd/picture":          {"internal/picture"},
	"cmd/draghand":         {"*"},
}

// onlyHere are outside packages that one package alone may import.
var onlyHere = map[string]string{
	"github.com/NimbleMarkets/ntcharts":  "tui/chart",
	"go.bug.st/serial":                   "internal/feed",
	"github.com/pelletier/go-toml":       "internal/rig",
	"github.com/charmbracelet/bubbletea": "tui",
	"gonum.org/v1/plot":                  "internal/report",
}

// pure packages may reach no file, network, process or clock-driven I/O.
var pure = []string{"internal/si", "internal/part", "internal/specimen", "internal/wire", "internal/pull", "internal/plan", "internal/share", "internal/sheet", "internal/strength", "internal/gum", "internal/budget", "internal/control", "internal/batch", "internal/compare", "tui/chart"}

func imports(t *testing.T) map[string]map[string]bool {
	t.Helper()
	root, err := filepath.Abs("..")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]map[string]bool{}
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") && path != root {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		pkg := filepath.ToSlash(rel)
		if out[pkg] == nil {
			out[pkg] = map[string]bool{}
		}
		for _, i := range f.Imports {
			p, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return err
			}
			out[pkg][p] = true
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestImportsPointOneWay(t *testing.T) {
	got := imports(t)
	if len(got) < 10 {
		t.Fatalf("only %d packages found: the test looks in the wrong place", len(got))
	}
	for pkg, deps := range got {
		allowed, ok := maySee[pkg]
		if !ok {
			t.Errorf("package %s has no place in the house: add it to maySee and to the picture in DEVELOPERS.md", pkg)
			continue
		}
		for d := range deps {
			if own, ok := strings.CutPrefix(d, "draghand/"); ok && !slices.Contains(allowed, own) && !slices.Contains(allowed, "*") {
				t.Errorf("%s imports %s: not one of %v", pkg, own, allowed)
			}
			for outside, owner := range onlyHere {
				if (d == outside || strings.HasPrefix(d, outside+"/")) && pkg != owner {
					t.Errorf("%s imports %s: only %s may", pkg, d, owner)
				}
			}
			if slices.Contains(pure, pkg) && slices.Contains([]string{"os", "net", "os/exec", "io/fs", "syscall"}, d) {
				t.Errorf("%s imports %s: it must stay pure", pkg, d)
			}
		}
	}
	for pkg := range maySee {
		if got[pkg] == nil {
			t.Errorf("maySee names %s, which does not exist", pkg)
		}
	}
}

// The table has no way round in a circle.
func TestImportTableHasNoCycle(t *testing.T) {
	var visit func(pkg string, path []string)
	visit = func(pkg string, path []string) {
		if slices.Contains(path, pkg) {
			t.Fatalf("circle: %v -> %s", path, pkg)
		}
		for _, d := range maySee[pkg] {
			if d != "*" {
				visit(d, append(path, pkg))
			}
		}
	}
	for pkg := range maySee {
		visit(pkg, nil)
	}
}

// The picture in DEVELOPERS.md says the same as the table.
func TestDevelopersPictureIsTrue(t *testing.T) {
	text, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, ok := strings.Cut(string(text), "<!-- imports -->\n```\n")
	if !ok {
		t.Fatal("DEVELOPERS.md has no imports picture")
	}
	picture, _, _ := strings.Cut(after, "```")
	var want []string
	for pkg, deps := range maySee {
		list := "(nothing of the project)"
		if len(deps) > 0 {
			sorted := slices.Clone(deps)
			sort.Strings(sorted)
			list = strings.Join(sorted, " ")
			if list == "*" {
				list = "all"
			}
		}
		want = append(want, pkg+" -> "+list)
	}
	sort.Strings(want)
	if got := strings.TrimSpace(picture); got != strings.Join(want, "\n") {
		t.Errorf("DEVELOPERS.md shows:\n%s\nthe house is:\n%s", got, strings.Join(want, "\n"))
	}
}
