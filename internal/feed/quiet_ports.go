package feed

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// quietGlobs are the names that serial ports have on Linux, those of boards on USB
// first (common practice, no source).
var quietGlobs = [...]string{"/dev/serial/by-id/*", "/dev/ttyACM*", "/dev/ttyUSB*", "/dev/ttyAMA*", "/dev/rfcomm*"}

// builtIn are the ports on the computer's own board. Most of their names have
// nothing behind them.
const builtIn = "/dev/ttyS*"

// QuietPorts lists serial ports without touching any, and so may be called while
// one is read. On Linux that is by their names and by what the system says of them;
// elsewhere it is Ports, which touches none there.
func QuietPorts() ([]string, error) {
	if runtime.GOOS != "linux" {
		return Ports()
	}
	return quietPorts("/")
}

// quietPorts are those of a system whose files lie under root.
func quietPorts(root string) ([]string, error) {
	var out []string
	for _, g := range append(quietGlobs[:], builtIn) {
		names, err := filepath.Glob(filepath.Join(root, g))
		if err != nil {
			return nil, err // a bad pattern: cannot be
		}
		slices.Sort(names)
		for _, n := range names {
			if g == builtIn && !hasUART(root, filepath.Base(n)) {
				continue
			}
			out = append(out, n)
		}
	}
	return out, nil
}

// hasUART says whether the system knows a chip behind a port's name: type 0 is
// none. Reading it does not open the port.
func hasUART(root, name string) bool {
	kind, err := os.ReadFile(filepath.Join(root, "sys/class/tty", name, "type"))
	return err == nil && strings.TrimSpace(string(kind)) != "0"
}
