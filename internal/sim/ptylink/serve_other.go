//go:build !(linux || darwin || freebsd || openbsd)

package ptylink

import (
	"context"
	"errors"
	"runtime"

	"draghand/internal/sim"
)

// Serve is not on this system.
func Serve(context.Context, string, func(pull int) (*sim.Sim, error), Options) error {
	return errors.New("pseudo-terminals are not on this system (" + runtime.GOOS + "): use the source sim: instead of a simulated port")
}
