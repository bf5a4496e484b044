package tui

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/pull"

	_ "draghand/tui/quiet" // no question to the terminal at the start
)

// ErrTerminal says that the terminal is gone or takes nothing more. The pull
// itself is untouched: the caller goes on without a screen.
var ErrTerminal = errors.New("the terminal is gone")

// ErrScreen says that the screen itself failed: a panic in one of its
// goroutines. The terminal has been put back and still takes text, and the pull
// is untouched: the caller goes on in plain text.
var ErrScreen = errors.New("the screen failed")

// stallGrace is how long a terminal that takes no more output may hold up the
// end of the screen.
const stallGrace = time.Second

// Run shows the pull on the alternate screen until the person leaves, the
// screen closes by itself or the context ends; all three are nil, and the
// terminal is as it was before. It returns ErrTerminal once the terminal is
// closed, or where it takes no output and the context ends: then the terminal
// could not be put back. It returns ErrScreen for a panic in any of its
// goroutines, with the terminal as it was before. No error is both.
//
// Signals are the caller's: it ends the context. A terminal that stalls holds
// up Run and nothing else; src is only ever asked, never waited for.
func Run(ctx context.Context, src Source, opts Options) error {
	opts = opts.onTerminal()
	return show(ctx, NewPullScreen(src, opts), func() Source { return src }, opts)
}

// onTerminal fills in the terminal where none is named.
func (o Options) onTerminal() Options {
	if o.In == nil {
		o.In = os.Stdin
	}
	if o.Out == nil {
		o.Out = os.Stdout
	}
	return o
}

// show runs a screen on the alternate screen, with the errors of Run. The bell
// rings for what rings gives at an edge; nil: for nothing.
func show(ctx context.Context, screen tea.Model, rings func() Source, opts Options) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)

	in := watched{opts.In, cancel}
	out := watched{opts.Out, cancel}
	p := tea.NewProgram(
		screen,
		tea.WithInput(in),
		tea.WithOutput(out),
		tea.WithAltScreen(),
		tea.WithoutSignalHandler(),
	)
	done := make(chan error, 1)
	go func() {
		var err error
		defer func() { done <- err }()
		guard(cancel, func() { _, err = p.Run() })
	}()
	quiet := make(chan struct{})
	go func() {
		defer close(quiet)
		guard(cancel, func() { forward(ctx, p, rings, opts) })
	}()

	var err error
	select {
	case err = <-done:
	case <-ctx.Done():
		// Quit, and not the library's own context: killed by that it closes
		// its input under the goroutine that still reads from it. Quit waits
		// for a program that waits for its terminal.
		go p.Quit()
		select {
		case err = <-done:
		case <-time.After(stallGrace):
			p.Kill()
			return fmt.Errorf("%w: it takes no output", ErrTerminal)
		}
	}
	cause := context.Cause(ctx)
	cancel(nil)
	select {
	case <-quiet:
	case <-time.After(stallGrace): // it is in the middle of a bell nobody takes
	}
	return outcome(err, cause)
}

// outcome makes Run's error of the library's and of why the context ended.
func outcome(err, cause error) error {
	var broken *screenError
	switch {
	case errors.As(cause, &broken), errors.Is(cause, ErrTerminal):
		return cause
	case err == nil, cause != nil && !errors.Is(err, tea.ErrProgramPanic):
		return nil // the person left, or the caller ended it
	case errors.Is(err, tea.ErrProgramPanic):
		return &screenError{what: err}
	}
	return fmt.Errorf("%w: %w", ErrTerminal, err)
}

// screenError is a panic in the screen; it is ErrScreen.
type screenError struct {
	what  any
	stack []byte
}

func (e *screenError) Error() string { return fmt.Sprintf("%v: %v", ErrScreen, e.what) }

func (e *screenError) Unwrap() error { return ErrScreen }

// guard runs f and turns a panic into the end of the screen: the library
// restores the terminal only for panics in its own goroutines.
func guard(cancel context.CancelCauseFunc, f func()) {
	defer func() {
		if r := recover(); r != nil {
			cancel(&screenError{what: r, stack: debug.Stack()})
		}
	}()
	f()
}

// forward rings the bell and wakes the screen at each edge. It is a goroutine
// of its own because both wait for a terminal that stalls, which the engine
// never may.
//
// The bell is one byte written to the same file as the frames. That is safe
// beside the renderer: an os.File writes under a lock, a frame is one Write, so
// the byte falls between two frames and never into an escape sequence.
func forward(ctx context.Context, p *tea.Program, rings func() Source, opts Options) {
	for {
		select {
		case <-ctx.Done():
			return
		case _, ok := <-opts.Edges: // nil: never
			if !ok {
				return
			}
		}
		if opts.Bell && ringing(rings()) {
			_, _ = opts.Out.WriteString("\a")
		}
		p.Send(EdgeMsg{}) // returns once the program has ended
	}
}

// ringing says that an alarm is on that nobody has acknowledged.
func ringing(src Source) bool {
	if src == nil {
		return false
	}
	snap := src.Snapshot()
	if snap == nil {
		return false
	}
	for _, a := range snap.State.Alarms {
		if !a.Acked && !a.Returned && (a.Level >= pull.Caution || a.Blind) {
			return true
		}
	}
	return false
}

// watched is a terminal whose first failure ends the screen. The library drops
// the errors of its output and stops reading quietly at the end of its input.
type watched struct {
	*os.File
	cancel context.CancelCauseFunc
}

func (w watched) Read(b []byte) (int, error) {
	n, err := w.File.Read(b)
	if err != nil {
		w.gone("reading", err)
	}
	return n, err
}

func (w watched) Write(b []byte) (int, error) {
	n, err := w.File.Write(b)
	if err != nil {
		w.gone("writing", err)
	}
	return n, err
}

// WriteString is the method of the file; without this one it would go round
// Write.
func (w watched) WriteString(s string) (int, error) { return w.Write([]byte(s)) }

func (w watched) gone(doing string, err error) {
	if errors.Is(err, os.ErrClosed) || errors.Is(err, io.EOF) {
		w.cancel(fmt.Errorf("%w: %s ended", ErrTerminal, doing))
		return
	}
	w.cancel(fmt.Errorf("%w: %w", ErrTerminal, err))
}
