package feed

import (
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"
)

// TestMain holds, after all tests of the package, that nothing of it still runs:
// every feed that was started has ended with its goroutines, and so has whoever
// waited on a context for it.
func TestMain(m *testing.M) {
	code := m.Run()
	if left := leftRunning(); code == 0 && left != "" {
		fmt.Fprintf(os.Stderr, "still running after the tests:\n%s\n", left)
		code = 1
	}
	os.Exit(code)
}

// leftRunning gives the stacks of goroutines in this package, once those that
// are about to end have had their time.
func leftRunning() string {
	deadline := time.Now().Add(patience)
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for ; ; <-tick.C {
		buf := make([]byte, 4<<20)
		buf = buf[:runtime.Stack(buf, true)]
		var left []string
		for _, stack := range strings.Split(string(buf), "\n\n") {
			if strings.Contains(stack, "internal/feed.") && !strings.Contains(stack, "internal/feed.TestMain") {
				left = append(left, stack)
			}
		}
		if len(left) == 0 || time.Now().After(deadline) {
			return strings.Join(left, "\n\n")
		}
	}
}
