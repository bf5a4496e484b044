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

// boundReads makes a read of a terminal end after 0.1 s without a byte. The
// library asks whether there is something to read and then reads, which waits
// for ever if another program took it in between: then nothing could end the
// feed but the next byte.
func boundReads(fd int) error {
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err != nil {
		return err
	}
	t.Cc[unix.VMIN], t.Cc[unix.VTIME] = 0, 1
	return unix.IoctlSetTermios(fd, unix.TCSETS, t)
}
