package feed

import (
	"path/filepath"
	"runtime"
	"slices"
)

// quietGlobs are the names that boards on USB have on Linux (common practice, no
// source).
var quietGlobs = [...]string{"/dev/serial/by-id/*", "/dev/ttyACM*", "/dev/ttyUSB*"}

// QuietPorts lists serial ports without touching any, and so may be called while
// one is read. On Linux it misses ports that are neither of a USB board nor
// adapter; elsewhere it is Ports, which touches none there.
func QuietPorts() ([]string, error) {
	if runtime.GOOS != "linux" {
		return Ports()
	}
	var out []string
	for _, g := range quietGlobs {
		names, err := filepath.Glob(g)
		if err != nil {
			return nil, err // a bad pattern: cannot be
		}
		slices.Sort(names)
		out = append(out, names...)
	}
	return out, nil
}
