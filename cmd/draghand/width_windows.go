package main

import (
	"os"

	"golang.org/x/sys/windows"
)

// terminalWidth is how many columns a terminal has; 0: not known.
func terminalWidth(f *os.File) int {
	var s windows.ConsoleScreenBufferInfo
	if windows.GetConsoleScreenBufferInfo(windows.Handle(f.Fd()), &s) != nil {
		return 0
	}
	return int(s.Window.Right-s.Window.Left) + 1
}
