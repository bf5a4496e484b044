//go:build !windows

package feed

import "go.bug.st/serial"

// linesAtOpen is nothing here: the system raises both lines while it opens the
// port, before anybody may say otherwise.
func linesAtOpen(Line) *serial.ModemOutputBits { return nil }
