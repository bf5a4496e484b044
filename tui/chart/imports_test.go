package chart

import (
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// TestOneFileImportsTheLibrary keeps the chart library behind canvas.go.
func TestOneFileImportsTheLibrary(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatal("no files: ", err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") || name == "canvas.go" {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range f.Imports {
			if strings.Contains(i.Path.Value, "ntcharts") {
				t.Errorf("%s imports %s: only canvas.go may", name, i.Path.Value)
			}
		}
	}
}
