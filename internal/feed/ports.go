package feed

import (
	"fmt"
	"path/filepath"
	"slices"

	"go.bug.st/serial"
)

// Ports lists serial ports: first the names in /dev/serial/by-id, which stay
// with a board when it is plugged in elsewhere, then what the system lists.
// Pseudo-terminals are never listed.
//
// Never call it while a port is read: on Linux, listing opens some ports and
// sets them anew, ports in use among them.
func Ports() ([]string, error) {
	names, err := filepath.Glob("/dev/serial/by-id/*")
	if err != nil {
		return nil, err // a bad pattern: cannot be
	}
	listed, err := serial.GetPortsList()
	if err != nil {
		return names, &Error{
			What: fmt.Sprintf("serial ports cannot be listed: %v", err),
			Hint: "name the port by its path",
			Err:  err,
			kind: ErrSource,
		}
	}
	slices.Sort(listed)
	return append(names, listed...), nil
}
