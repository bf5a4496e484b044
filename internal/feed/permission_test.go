//go:build linux

package feed

import (
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
)

func TestSerialWithoutPermission(t *testing.T) {
	b := newBoard(t)
	if err := os.Chmod(b.link, 0); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Dir(b.link), 0o755); err != nil {
		t.Fatal(err)
	}
	f := mustOpen(t, "serial:"+b.link, Options{})
	done := make(chan error)
	go func() {
		// The superuser may open anything, so this thread becomes somebody else
		// where files are concerned. It is never unlocked and ends here.
		runtime.LockOSThread()
		if os.Geteuid() == 0 {
			if err := syscall.Setfsuid(65534); err != nil {
				t.Errorf("cannot become another user: %v", err)
			}
		}
		done <- f.Run(t.Context(), func(c Chunk) { t.Errorf("a chunk came: %+v", c) })
	}()
	told(t, <-done, "may not be opened by you", "sudo usermod -aG")
}
