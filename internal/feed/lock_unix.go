//go:build unix

package feed

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// deviceLock keeps a device for this program; it is an open file of its own.
type deviceLock struct{ fd int }

// release gives the device free.
func (l deviceLock) release() error { return unix.Close(l.fd) }

// bound keeps reads of the device from waiting for ever.
func (l deviceLock) bound() error { return boundReads(l.fd) }

// lockDevice keeps other programs of ours off a device, by an advisory lock on
// its node: the exclusive mode of the terminal does not bind the superuser, and
// two readers would each get half of the bytes. The lock goes with the process.
func lockDevice(path string) (deviceLock, error) {
	none := deviceLock{-1}
	// Looked at before it is opened, because opening a pipe waits for a writer.
	st, err := os.Stat(path)
	if err != nil {
		return none, err
	}
	if st.Mode()&os.ModeCharDevice == 0 {
		return none, errNotPort
	}
	fd, err := open(path)
	if err != nil {
		if errors.Is(err, unix.EBUSY) {
			return none, errBusy
		}
		return none, err
	}
	// Some systems have no such locks on devices: a measurement without one is
	// better than none.
	if err := unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB); errors.Is(err, unix.EWOULDBLOCK) {
		unix.Close(fd)
		return none, errBusy
	}
	return deviceLock{fd}, nil
}

// open neither waits for a carrier nor makes the device our terminal.
func open(path string) (int, error) {
	for {
		fd, err := unix.Open(path, unix.O_RDONLY|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
		if !errors.Is(err, unix.EINTR) {
			return fd, err
		}
	}
}
