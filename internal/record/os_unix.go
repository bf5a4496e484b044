//go:build unix && !aix && !solaris

package record

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lockFile takes a flock on f, shared where it is not exclusive, without
// waiting. The lock belongs to the open file: closing it, or the end of the
// process, gives it back.
func lockFile(f *os.File, exclusive bool) error {
	how := unix.LOCK_SH
	if exclusive {
		how = unix.LOCK_EX
	}
	for {
		err := unix.Flock(int(f.Fd()), how|unix.LOCK_NB)
		if errors.Is(err, unix.EINTR) {
			continue
		}
		if errors.Is(err, unix.EWOULDBLOCK) {
			return ErrBusy
		}
		return err
	}
}

func rename(from, to string) error { return os.Rename(from, to) }

// syncDir makes the names in a folder durable: after a new file or a rename,
// fsync of the file alone leaves its name to chance.
func syncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
