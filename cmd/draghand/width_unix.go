//go:build unix

package main

import (
	"os"

	"golang.org/x/sys/unix"
)

// terminalWidth is how many columns a terminal has; 0: not known.
func terminalWidth(f *os.File) int {
	s, err := unix.IoctlGetWinsize(int(f.Fd()), unix.TIOCGWINSZ)
	if err != nil {
		return 0
	}
	return int(s.Col)
}
