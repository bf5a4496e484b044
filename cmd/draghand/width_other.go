//go:build !unix && !windows

package main

import "os"

// terminalWidth is not known.
func terminalWidth(*os.File) int { return 0 }
