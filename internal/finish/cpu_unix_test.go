//go:build unix

package finish

import (
	"syscall"
	"time"
)

// cpuUsed is what this process has had of the processors, its own and the system's
// work for it.
func cpuUsed() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
