//go:build !linux

package feed

// deviceNumber: only Linux shows by it which board is behind a port.
func deviceNumber(string) (string, bool) { return "", false }

// boundReads is a guard that was needed and tried on Linux only.
func boundReads(int) error { return nil }
