package feed

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"go.bug.st/serial"
)

var (
	errBusy    = errors.New("in use")
	errNotPort = errors.New("not a serial port")
)

// portError tells a person why a port cannot be opened and what to do next.
func portError(path string, baud int, err error) *Error {
	e := &Error{Err: err, kind: ErrSource}
	code := serial.PortErrorCode(-1)
	var pe *serial.PortError
	if errors.As(err, &pe) {
		code = pe.Code()
	}
	switch {
	case errors.Is(err, errBusy) || code == serial.PortBusy:
		e.What = fmt.Sprintf("serial port %q is already in use by another program", path)
		e.Hint = "close the other program (a serial monitor, or a second run of this one), then start again"
	case errors.Is(err, errOtherBoard):
		e.What = fmt.Sprintf("another board is at %q than before", path)
		e.Hint = "plug the rig's own board in, or end this pull and start a new one with that board"
	case errors.Is(err, fs.ErrPermission) || code == serial.PermissionDenied:
		e.What = fmt.Sprintf("serial port %q may not be opened by you", path)
		e.Hint = permissionHint(path)
	case errors.Is(err, fs.ErrNotExist) || code == serial.PortNotFound:
		e.What = fmt.Sprintf("serial port %q does not exist", path)
		e.Hint = missingHint()
	case errors.Is(err, errNotPort) || code == serial.InvalidSerialPort:
		e.What = fmt.Sprintf("%q is not a serial port", path)
		e.Hint = notPortHint(path)
	case code == serial.InvalidSpeed:
		e.What = fmt.Sprintf("serial port %q does not do %d baud", path, baud)
		e.Hint = "set another baud in the rig file and in the board's program; 115200 is common"
	default:
		e.What = fmt.Sprintf("serial port %q cannot be opened: %v", path, cause(err))
		e.Hint = "unplug the board, plug it in again, then start again"
	}
	return e
}

func missingHint() string {
	const plug = "plug the board in and look at the name"
	names := nodeNames()
	if len(names) == 0 {
		return plug + "; no board is on USB now; draghand ports lists every port"
	}
	const most = 6 // a line, not a page
	more := ""
	if len(names) > most {
		names, more = names[:most], ", …"
	}
	return plug + "; there now: " + strings.Join(names, ", ") + more
}

func notPortHint(path string) string {
	st, err := os.Stat(path)
	switch {
	case err != nil:
	case st.IsDir():
		return "name a device in it; " + missingHint()
	case st.Mode().IsRegular():
		return fmt.Sprintf("for a file of lines write %q", "file:"+path)
	}
	return missingHint()
}
