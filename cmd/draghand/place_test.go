package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/record"
)

// writers are the verbs that write into a file, with a record.
func writers(rec string) map[string][]string {
	return map[string][]string{
		"list":         {"list", "--csv"},
		"compare":      {"compare", rec},
		"compare json": {"compare", "--json", rec},
		"compare html": {"compare", "--as", "html", rec},
		"export csv":   {"export", rec},
		"export json":  {"export", "--as", "json", rec},
		"export html":  {"export", "--as", "html", rec},
		"export png":   {"export", "--as", "png", rec},
	}
}

const pulledOne = "2026-11-25T122446Z-M1-5-earlier"

// shelfOfOne is a shelf with one record.
func shelfOfOne(t *testing.T) (shelf, rec string) {
	t.Helper()
	shelf = t.TempDir()
	rec = filepath.Join(shelf, pulledOne)
	if err := os.CopyFS(rec, os.DirFS(filepath.Join("..", "..", "testdata", "records", pulledOne))); err != nil {
		t.Fatal(err)
	}
	return shelf, rec
}

func ranIn(shelf string, args ...string) (code int, out, said string) {
	var o, e bytes.Buffer
	code = run(append([]string{args[0], "--data", shelf}, args[1:]...), world{in: strings.NewReader(""), out: &o, err: &e, getenv: func(string) string { return "" }})
	return code, o.String(), e.String()
}

// No verb writes into a record, by whatever way it is named; every verb writes
// elsewhere, and leaves what stands beside as it is.
func TestPlaceOfEachVerb(t *testing.T) {
	shelf, rec := shelfOfOne(t)
	link := filepath.Join(t.TempDir(), "link.csv")
	if err := os.Symlink(filepath.Join(rec, "samples.csv"), link); err != nil {
		t.Skip(err)
	}
	before := record.Check(rec)
	for name, args := range writers(rec) {
		t.Run(name, func(t *testing.T) {
			for _, place := range []string{filepath.Join(rec, "samples.csv"), filepath.Join(rec, "pull.json"), filepath.Join(rec, "new.csv"), link} {
				code, _, said := ranIn(shelf, append(args, "-o", place)...)
				if code != exitUsage || !strings.Contains(said, "is in a pull record") || !strings.Contains(said, "nothing has been written") {
					t.Errorf("-o %s: code %d, said %s", place, code, said)
				}
			}
			dir := t.TempDir()
			file := filepath.Join(dir, "out")
			if err := os.WriteFile(file+".part", []byte("mine"), 0o600); err != nil {
				t.Fatal(err)
			}
			for range 2 { // the second takes the place of the first
				if code, _, said := ranIn(shelf, append(args, "-o", file)...); code != exitDone {
					t.Fatalf("code %d: %s", code, said)
				}
				if b, err := os.ReadFile(file); err != nil || len(b) < 50 {
					t.Errorf("%d bytes, %v", len(b), err)
				}
			}
			if b, err := os.ReadFile(file + ".part"); err != nil || string(b) != "mine" {
				t.Errorf("a file of the user's holds %q, %v", b, err)
			}
			if all, err := os.ReadDir(dir); err != nil || len(all) != 2 {
				t.Errorf("left %v, %v", all, err)
			}
		})
	}
	if after := record.Check(rec); after.Status != record.Whole || after.Text() != before.Text() {
		t.Errorf("the record: %s", after.Text())
	}
	if all, err := os.ReadDir(rec); err != nil || len(all) > 4 {
		t.Errorf("in the record: %v, %v", all, err)
	}
}

// A folder with a pull.json or a samples.csv that are no record's is a place like any
// other.
func TestPlaceBesideOthers(t *testing.T) {
	shelf, rec := shelfOfOne(t)
	dir := t.TempDir()
	for range 2 {
		for _, as := range []string{"json", "csv"} {
			name := map[string]string{"json": "pull.json", "csv": "samples.csv"}[as]
			if code, _, said := ranIn(shelf, "export", rec, "--as", as, "-o", filepath.Join(dir, name)); code != exitDone {
				t.Errorf("%s: code %d, %s", as, code, said)
			}
		}
	}
}

// A link stays one, and what it leads to is written, there or not; the rights of a file
// stay.
func TestPlaceLink(t *testing.T) {
	dir, far := t.TempDir(), t.TempDir()
	target, link, next := filepath.Join(far, "x.html"), filepath.Join(dir, "a"), filepath.Join(dir, "b")
	for _, pair := range [][2]string{{target, link}, {"a", next}} {
		if err := os.Symlink(pair[0], pair[1]); err != nil {
			t.Skip(err)
		}
	}
	put := func(text string) {
		t.Helper()
		err := putInPlace(next, func(w io.Writer) error {
			_, err := io.WriteString(w, text)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		if b, err := os.ReadFile(target); err != nil || string(b) != text {
			t.Errorf("the target holds %q, %v", b, err)
		}
		if to, err := os.Readlink(next); err != nil || to != "a" {
			t.Errorf("the link leads to %q, %v", to, err)
		}
	}
	put("one")
	if err := os.Chmod(target, 0o600); err != nil {
		t.Fatal(err)
	}
	put("two")
	if st, err := os.Stat(target); err != nil || st.Mode().Perm() != 0o600 {
		t.Errorf("rights %v, %v", st.Mode(), err)
	}
	if all, err := os.ReadDir(far); err != nil || len(all) != 1 {
		t.Errorf("left %v, %v", all, err)
	}
	none := filepath.Join(dir, "none", "x")
	if err := putInPlace(none, nil); err == nil || !strings.Contains(err.Error(), none+`": `) {
		t.Errorf("where no folder is: %v", err)
	}
	if err := putInPlace(dir, nil); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("into a folder: %v", err)
	}
}

// A calibration is not written over.
func TestPlaceCalibration(t *testing.T) {
	shelf, _ := shelfOfOne(t)
	file := filepath.Join(shelf, "calibrations", "a.json")
	err := os.Mkdir(filepath.Dir(file), 0o755)
	if err == nil {
		err = os.WriteFile(file, []byte("good"), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	if code, _, said := ranIn(shelf, "list", "--csv", "-o", file); code != exitUsage || !strings.Contains(said, "among the calibrations") {
		t.Errorf("code %d: %s", code, said)
	}
	if b, _ := os.ReadFile(file); string(b) != "good" {
		t.Errorf("it holds %q", b)
	}
}
