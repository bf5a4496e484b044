package record

import (
	"errors"
	"os"

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

// syncDir does nothing: Windows cannot sync a folder, and its file systems
// journal names by themselves.
func syncDir(string) error { return nil }
