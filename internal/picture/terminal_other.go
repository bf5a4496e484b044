//go:build !unix

package picture

import (
	"context"
	"errors"
	"os"
	"time"
)

// ErrNoTerminal says that this system has no pseudo-terminals.
var ErrNoTerminal = errors.New("start a program in a terminal: this system has no pseudo-terminals (run it on Linux or macOS)")

// A Terminal is a program running in a terminal of its own; not on this system.
type Terminal struct{}

// Start always fails on this system.
func Start(context.Context, Options) (*Terminal, error) { return nil, ErrNoTerminal }

// Screen is never reached on this system.
func (*Terminal) Screen() *Screen { return &Screen{} }

// Wait is never reached on this system.
func (*Terminal) Wait(context.Context, time.Duration) error { return ErrNoTerminal }

// Until is never reached on this system.
func (*Terminal) Until(context.Context, string, func(*Screen) bool) (*Screen, error) {
	return nil, ErrNoTerminal
}

// Type is never reached on this system.
func (*Terminal) Type(string) error { return ErrNoTerminal }

// Exit is never reached on this system.
func (*Terminal) Exit(context.Context) (int, error) { return -1, ErrNoTerminal }

// Resize is never reached on this system.
func (*Terminal) Resize(int, int) error { return ErrNoTerminal }

// Signal is never reached on this system.
func (*Terminal) Signal(os.Signal) error { return ErrNoTerminal }

// Close is never reached on this system.
func (*Terminal) Close() int { return -1 }
