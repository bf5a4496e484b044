//go:build darwin || freebsd || openbsd

package ptylink

import "golang.org/x/sys/unix"

const (
	getTermios = unix.TIOCGETA
	setTermios = unix.TIOCSETA
)
