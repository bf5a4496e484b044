package shelf

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/record"
)

// A reason names what a record holds, which may be of any length.
func TestReasonIsShort(t *testing.T) {
	dir := t.TempDir()
	spoil(t, keep(t, dir, head(t, 1), nil), func(s string) string {
		from := strings.Index(s, `"started": "`) + len(`"started": "`)
		return s[:from] + strings.Repeat("x", 1<<20) + s[from:]
	})
	all := list(t, dir)
	if len(all) != 1 || all[0].Condition != Damaged || len(all[0].Reason) > 2*mostText || !strings.Contains(all[0].Reason, "cannot be understood") {
		t.Errorf("%d, %s, a reason of %d bytes", len(all), all[0].Condition, len(all[0].Reason))
	}
}

// Why a record is damaged is told in words that need no knowledge of what its files are
// made of, with what to do about it; where the file may be whole nothing is to be put
// in its place.
func TestReasonIsPlain(t *testing.T) {
	for name, c := range map[string]struct {
		edit func(string) string
		want string
	}{
		"torn":    {func(s string) string { return s[:200] }, "pull.json is torn, its end is missing; put it back from a copy"},
		"empty":   {func(string) string { return "" }, "pull.json is empty; put it back from a copy"},
		"altered": {func(s string) string { return "{" + s }, "pull.json is altered, its text makes no sense from byte 2 on; put it back from a copy"},
		"no time": {func(s string) string { return strings.Replace(s, `"started": "`, `"started": "x`, 1) }, "pull.json is altered, an entry of it cannot be understood; put it back from a copy"},
		"no rig":  {func(s string) string { return strings.Replace(s, `"rig":`, `"rug":`, 1) }, "pull.json has no rig: the forces cannot be reckoned; put it back from a copy"},
		"large":   {func(s string) string { return s + strings.Repeat(" ", 16<<20) }, "pull.json is larger than 16777216 bytes; put it back from a copy"},
		"other":   {func(string) string { return `{"a":1}` }, "pull.json has no format number; put it back from a copy"},
	} {
		dir := t.TempDir()
		spoil(t, keep(t, dir, head(t, 1), nil), c.edit)
		if all := list(t, dir); len(all) != 1 || all[0].Condition != Damaged || all[0].Reason != c.want {
			t.Errorf("%s: %s: %q, want %q", name, all[0].Condition, all[0].Reason, c.want)
		}
	}
	dir := t.TempDir()
	at := keep(t, dir, head(t, 1), nil)
	must(t, os.Remove(filepath.Join(at, record.HeadFile)))
	if err := os.Symlink(record.HeadFile, filepath.Join(at, record.HeadFile)); err != nil { // which leads round
		t.Skip("no links here:", err)
	}
	if all := list(t, dir); all[0].Condition != Damaged || !strings.HasPrefix(all[0].Reason, "pull.json cannot be read: ") || strings.Contains(all[0].Reason, "copy") {
		t.Errorf("%s: %q", all[0].Condition, all[0].Reason)
	}
}

// The calibrations stay whatever they are called: in other letters where a file system
// tells none apart, here by a link.
func TestTrashCalibrationsByAnotherName(t *testing.T) {
	dir := t.TempDir()
	must(t, os.Mkdir(filepath.Join(dir, calibrations), 0o755))
	if err := os.Symlink(calibrations, filepath.Join(dir, "Calibrations")); err != nil {
		t.Skip("no links here:", err)
	}
	if done, err := Trash(dir, []string{"Calibrations"}); err == nil || !strings.Contains(err.Error(), "it holds the calibrations") {
		t.Errorf("%+v, %v", done, err)
	}
}
