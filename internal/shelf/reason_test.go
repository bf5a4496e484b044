package shelf

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
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
