package feed

import (
	"fmt"

	"golang.org/x/sys/unix"
)

// deviceNumber is the number by which the system knows a device, as
// major:minor.
func deviceNumber(path string) (string, bool) {
	var st unix.Stat_t
	if err := unix.Stat(path, &st); err != nil || st.Mode&unix.S_IFMT != unix.S_IFCHR {
		return "", false
	}
	rdev := uint64(st.Rdev) // 32 bits on some machines
	return fmt.Sprintf("%d:%d", unix.Major(rdev), unix.Minor(rdev)), true
}
