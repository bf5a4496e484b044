//go:build darwin || freebsd || netbsd || openbsd || dragonfly

package feed

import "golang.org/x/sys/unix"

const getTermios, setTermios = unix.TIOCGETA, unix.TIOCSETA
