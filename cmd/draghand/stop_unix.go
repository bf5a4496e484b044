//go:build unix

package main

import (
	"os"
	"os/signal"
	"syscall"
)

// holdStop keeps the terminal from stopping the program while a pull runs: a
// stopped program reads nothing and warns of nothing. It tells when ctrl+z was
// pressed. In the background a read of the terminal fails instead of stopping.
func holdStop() (pressed <-chan os.Signal, release func()) {
	c := make(chan os.Signal, 1)
	signal.Notify(c, syscall.SIGTSTP)
	signal.Ignore(syscall.SIGTTIN, syscall.SIGTTOU)
	return c, func() {
		signal.Stop(c)
		signal.Reset(syscall.SIGTTIN, syscall.SIGTTOU)
	}
}
