//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package feed

import "golang.org/x/sys/unix"

// hangUp makes the system drop RTS and DTR when the last open file of the
// device is closed, which the system itself does for a program that is killed.
// It is what a port usually begins with, but stays as any program has set it,
// and people switch it off to keep boards from being reset.
func (l deviceLock) hangUp() error {
	t, err := unix.IoctlGetTermios(l.fd, getTermios)
	if err != nil || t.Cflag&unix.HUPCL != 0 {
		return err
	}
	t.Cflag |= unix.HUPCL
	return unix.IoctlSetTermios(l.fd, setTermios, t)
}
