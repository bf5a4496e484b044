//go:build unix

package calib

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"draghand/internal/rig"
)

// What is no file is passed over with its reason: a pipe that nobody writes to
// would hold up whoever opens it for good.
func TestPipe(t *testing.T) {
	shelf := t.TempDir()
	kept(t, shelf, rig.AtRam, nil)
	pipe := filepath.Join(shelf, Folder, "pipe.json")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip("no pipes here:", err)
	}
	if err := os.Symlink("/dev/zero", filepath.Join(shelf, Folder, "zero.json")); err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		all, err := List(shelf)
		if err != nil || len(all) != 3 || all[0].File == nil {
			t.Errorf("%v %v", all, err)
			return
		}
		for _, e := range all[1:] {
			if !strings.Contains(e.Reason, "not a calibration file") {
				t.Errorf("%s: %q", e.Path, e.Reason)
			}
		}
		if _, err := Find(shelf, "pipe"); !errors.Is(err, ErrForeign) {
			t.Errorf("Find: %v", err)
		}
	}()
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		t.Fatal("held up by a pipe")
	}
}
