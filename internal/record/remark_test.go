package record

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// copied is a record of testdata that a test may change.
func copied(t *testing.T, name string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), name)
	must(t, os.CopyFS(dir, os.DirFS(filepath.Join(fixtures, name))))
	return dir
}

func headText(t *testing.T, dir string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, HeadFile))
	must(t, err)
	return text
}

// A remark joins a closed and an unfinished record; what it was before it still
// is, byte for byte, and the readings are not touched.
func TestAddRemark(t *testing.T) {
	at := time.Date(2026, 11, 25, 15, 0, 1, 0, time.FixedZone("", 3600))
	for name, status := range map[string]Status{example: Whole, cutOff: Unfinished} {
		t.Run(name, func(t *testing.T) {
			dir := copied(t, name)
			before := headText(t, dir)
			samples, err := os.ReadFile(filepath.Join(dir, SamplesFile))
			must(t, err)
			must(t, addRemark(OS{}, dir, "  <pins> looked\tbent\n\x1b[31mafter \u202eit\x00 ", at))
			must(t, addRemark(OS{}, dir, "bar broke in the fillet", at.Add(time.Minute)))

			rec, err := Open(dir)
			must(t, err)
			want := []Said{
				{At: at.UTC(), Text: "<pins> looked bent [31mafter it"},
				{At: at.UTC().Add(time.Minute), Text: "bar broke in the fillet"},
			}
			if d := cmp.Diff(want, rec.Head.Said); d != "" {
				t.Error(d)
			}
			// Written as the writer writes it, and without the remarks it is what it was.
			after := headText(t, dir)
			anew, err := encodeHead(rec.Head)
			must(t, err)
			if !bytes.Equal(anew, after) {
				t.Errorf("pull.json is laid out otherwise than the writer does:\n%s", cmp.Diff(string(anew), string(after)))
			}
			rec.Head.Said = nil
			anew, err = encodeHead(rec.Head)
			must(t, err)
			if !bytes.Equal(anew, before) {
				t.Errorf("something else changed:\n%s", cmp.Diff(string(before), string(anew)))
			}
			if now, _ := os.ReadFile(filepath.Join(dir, SamplesFile)); !bytes.Equal(now, samples) {
				t.Error("samples.csv was touched")
			}
			if r := Check(dir); r.Status != status || r.Writing {
				t.Errorf("check: %s", r.Text())
			}
			if err := validate(t, compile(t, true), after); err != nil {
				t.Error(err)
			}
		})
	}
}

// What a later program put into pull.json stays, numbers to the last digit.
func TestAddRemarkKeepsWhatItDoesNotKnow(t *testing.T) {
	dir := copied(t, example)
	spoil(t, dir, HeadFile, func(b []byte) []byte {
		return bytes.Replace(b, []byte(`"format": 1,`), []byte(`"format": 1, "later": {"z": 1.2345678901234567890, "a": "<&>"},`), 1)
	})
	must(t, AddRemark(dir, "looked at again"))
	text := string(headText(t, dir))
	if !strings.Contains(text, `"z": 1.2345678901234567890,`) || !strings.Contains(text, `"a": "<&>"`) || strings.Index(text, `"later"`) > strings.Index(text, `"program"`) {
		t.Errorf("the unknown field changed:\n%.300s", text)
	}
}

func TestAddRemarkRefused(t *testing.T) {
	dir := copied(t, example)
	before := headText(t, dir)
	for name, text := range map[string]string{"empty": "", "blanks": " \n\t\x00", "too long": strings.Repeat("é", MaxSaid+1)} {
		if err := AddRemark(dir, text); !errors.Is(err, ErrRemark) {
			t.Errorf("%s: %v", name, err)
		}
	}
	unlock, err := Lock(dir)
	must(t, err)
	if err := AddRemark(dir, "while it is written"); !errors.Is(err, ErrBusy) {
		t.Errorf("while locked: %v", err)
	}
	must(t, unlock())
	if got := headText(t, dir); !bytes.Equal(got, before) {
		t.Error("a refused remark changed pull.json")
	}
	must(t, AddRemark(dir, strings.Repeat("é", MaxSaid)))

	elsewhere := t.TempDir()
	if err := AddRemark(elsewhere, "no record"); !errors.Is(err, ErrForeign) {
		t.Errorf("no record: %v", err)
	}
	if left, _ := os.ReadDir(elsewhere); len(left) != 0 {
		t.Errorf("left in a foreign folder: %v", left)
	}

	full := copied(t, example)
	for range MaxSaidEach {
		must(t, AddRemark(full, "x"))
	}
	if err := AddRemark(full, "one more"); !errors.Is(err, ErrRemark) {
		t.Errorf("one more than fit: %v", err)
	}
}
