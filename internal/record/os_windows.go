package record

import (
	"errors"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// lockFile locks the first byte of f, shared where it is not exclusive,
// without waiting. Windows gives the lock back when the process ends, so that
// no stale lock outlives a crash, as one made by O_EXCL would.
func lockFile(f *os.File, exclusive bool) error {
	var how uint32 = windows.LOCKFILE_FAIL_IMMEDIATELY
	if exclusive {
		how |= windows.LOCKFILE_EXCLUSIVE_LOCK
	}
	err := windows.LockFileEx(windows.Handle(f.Fd()), how, 0, 1, 0, new(windows.Overlapped))
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return ErrBusy
	}
	return err
}

// renameWithin is how long a file that is open elsewhere is waited for.
const renameWithin = time.Second

// rename puts from in the place of to. Windows refuses that while another program has
// one of them open, if only for reading, as a list has a pull.json for a moment.
func rename(from, to string) error {
	return insist(renameWithin, func() error { return os.Rename(from, to) }, windows.ERROR_ACCESS_DENIED, windows.ERROR_SHARING_VIOLATION)
}

// syncDir does nothing: Windows cannot sync a folder, and its file systems
// journal names by themselves.
func syncDir(string) error { return nil }
