//go:build unix

package feed

import (
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// nodeNames lists the names of devices that a board usually gets, without
// touching any of them: names that stay with a board first.
func nodeNames() []string {
	var names []string
	for _, pattern := range []string{
		"/dev/serial/by-id/*",
		"/dev/ttyACM*", "/dev/ttyUSB*", // Linux
		"/dev/cu.usb*",            // macOS, where tty.* waits for a carrier
		"/dev/cuaU*", "/dev/dty*", // BSD
	} {
		found, err := filepath.Glob(pattern)
		if err == nil { // the only error is a bad pattern
			names = append(names, found...)
		}
	}
	return names
}

// permissionHint names the group that may use the device.
func permissionHint(path string) string {
	group := "dialout" // the usual one (common practice, no source)
	if st, err := os.Stat(path); err == nil {
		if sys, ok := st.Sys().(*syscall.Stat_t); ok && st.Mode().Perm()&0o060 == 0o060 {
			if g, err := user.LookupGroupId(strconv.FormatUint(uint64(sys.Gid), 10)); err == nil {
				group = g.Name
			}
		}
	}
	return fmt.Sprintf("join the group that may (sudo usermod -aG %s \"$USER\"), log out and in, then start again", group)
}
