//go:build unix

package record

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// A pipe, or a device, in the place of a file of a record holds up nobody: it is no
// file, and what it would give has no end.
func TestPipes(t *testing.T) {
	for _, name := range []string{HeadFile, SamplesFile, SumFile, LockFile, OverviewFile} {
		for what, put := range map[string]func(string) error{
			"a pipe":   func(p string) error { return syscall.Mkfifo(p, 0o644) },
			"a device": func(p string) error { return os.Symlink("/dev/zero", p) },
		} {
			for _, of := range []string{example, cutOff} {
				dir := copied(t, of)
				path := filepath.Join(dir, name)
				if err := os.Remove(path); err != nil && !os.IsNotExist(err) {
					t.Fatal(err)
				}
				must(t, put(path))
				done := make(chan struct{})
				go func() {
					defer close(done)
					HasSamples(dir)
					Busy(dir)
					Check(dir)
					_, _ = new(Skimmer).Brief(dir)
					if rec, err := Open(dir); err == nil {
						_, _ = rec.Replay(nil)
						_, _ = rec.SamplesSum()
						_, _ = rec.Overview()
						rec.LastReadings()
					}
				}()
				select {
				case <-done:
				case <-time.After(20 * time.Second):
					t.Fatalf("%s for %s of %s: nothing comes back", what, name, of)
				}
			}
		}
	}
}
