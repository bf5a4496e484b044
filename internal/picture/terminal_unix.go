//go:build unix

package picture

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"sync"
	"syscall"
	"time"

	"github.com/creack/pty"
	"github.com/hinshun/vt10x"
)

const (
	// quiet is how long the program must say nothing for its frame to count
	// as whole; frames come 16 ms apart at the fastest and in one write each.
	quiet = 8 * time.Millisecond
	// restless bounds the wait for quiet, for a program that never is.
	restless = 120 * time.Millisecond
	// grace is how long a program may take to end after being asked.
	grace = 2 * time.Second
)

// A Terminal is a program running in a terminal of its own.
type Terminal struct {
	o     Options
	cmd   *exec.Cmd
	pty   *os.File
	start time.Time

	mu      sync.Mutex
	emu     vt10x.Terminal
	filter  tidy
	changed chan struct{} // closed and replaced at every write
	raw     []byte        // the newest rawKept bytes as the program wrote them

	ended chan struct{} // closed when the program has ended and its output is read
	code  int           // valid once ended
}

// Start runs the program of o. The caller must Close the terminal.
func Start(ctx context.Context, o Options) (*Terminal, error) {
	o = o.withDefaults()
	t := &Terminal{o: o, changed: make(chan struct{}), ended: make(chan struct{}), start: time.Now()}
	t.cmd = exec.CommandContext(ctx, o.Cmd, o.Args...)
	t.cmd.Dir = o.Dir
	t.cmd.Env = append(append(os.Environ(), "TERM=xterm-256color", "COLORTERM=truecolor"), o.Env...)
	f, err := pty.StartWithSize(t.cmd, &pty.Winsize{Cols: uint16(o.Cols), Rows: uint16(o.Rows)})
	if err != nil {
		return nil, fmt.Errorf("start %q in a terminal: %w", o.Cmd, err)
	}
	t.pty = f
	answers := io.Writer(f)
	t.filter = tidy{ask: f, theme: *o.Theme}
	if o.Silent {
		answers, t.filter.ask = io.Discard, nil
	}
	t.emu = vt10x.New(vt10x.WithSize(o.Cols, o.Rows), vt10x.WithWriter(answers))
	t.filter.out = t.emu
	go t.read()
	return t, nil
}

// read feeds the emulator till the program's side is closed, then waits for
// the program.
func (t *Terminal) read() {
	buf := make([]byte, 32<<10)
	for {
		n, err := t.pty.Read(buf)
		if n > 0 {
			t.mu.Lock()
			t.keep(buf[:n])
			_, _ = t.filter.Write(buf[:n]) // the emulator never fails
			close(t.changed)
			t.changed = make(chan struct{})
			t.mu.Unlock()
		}
		if err != nil {
			break
		}
	}
	_ = t.cmd.Wait() // a code other than 0 is the program's word, not a failure here
	t.code = t.cmd.ProcessState.ExitCode()
	close(t.ended)
}

// Screen is what the terminal shows now.
func (t *Terminal) Screen() *Screen {
	s, _ := t.look()
	return s
}

// look is the screen and a channel that closes at the next change.
func (t *Terminal) look() (*Screen, <-chan struct{}) {
	t.mu.Lock()
	defer t.mu.Unlock()
	s := capture(t.emu, *t.o.Theme)
	s.At = time.Since(t.start)
	return s, t.changed
}

// Wait lets time pass.
func (t *Terminal) Wait(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// Until waits till the screen is as wanted, then for the frame to be whole. The
// screen it returns is the first that was: its At is when. what names the wish
// in the *TimeoutError.
func (t *Terminal) Until(ctx context.Context, what string, want func(*Screen) bool) (*Screen, error) {
	timer := time.NewTimer(t.o.Timeout)
	defer timer.Stop()
	for ended := false; ; {
		s, changed := t.look()
		if want(s) {
			return s, t.settle(ctx)
		}
		if ended {
			return nil, &TimeoutError{What: what, After: t.o.Timeout, Ended: true, Screen: s}
		}
		select {
		case <-changed:
		case <-t.ended:
			ended = true
		case <-timer.C:
			return nil, &TimeoutError{What: what, After: t.o.Timeout, Screen: s}
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// settle waits till the program has been quiet a moment.
func (t *Terminal) settle(ctx context.Context) error {
	limit := time.NewTimer(restless)
	defer limit.Stop()
	for {
		_, changed := t.look()
		pause := time.NewTimer(quiet)
		select {
		case <-changed:
			pause.Stop()
		case <-pause.C:
			return nil
		case <-t.ended:
			pause.Stop()
			return nil
		case <-limit.C:
			pause.Stop()
			return nil
		case <-ctx.Done():
			pause.Stop()
			return ctx.Err()
		}
	}
}

// Type sends bytes as if typed.
func (t *Terminal) Type(bytes string) error {
	if _, err := t.pty.WriteString(bytes); err != nil {
		return fmt.Errorf("type %q: %w", bytes, err)
	}
	return nil
}

// Resize changes the terminal's size and tells the program.
func (t *Terminal) Resize(cols, rows int) error {
	t.mu.Lock()
	t.emu.Resize(cols, rows)
	t.mu.Unlock()
	if err := pty.Setsize(t.pty, &pty.Winsize{Cols: uint16(cols), Rows: uint16(rows)}); err != nil {
		return fmt.Errorf("resize to %d×%d: %w", cols, rows, err)
	}
	return nil
}

// Signal sends the program a signal.
func (t *Terminal) Signal(s os.Signal) error { return t.cmd.Process.Signal(s) }

// Exit waits till the program ends and gives its exit code.
func (t *Terminal) Exit(ctx context.Context) (int, error) {
	timer := time.NewTimer(t.o.Timeout)
	defer timer.Stop()
	select {
	case <-t.ended:
		return t.code, nil
	case <-timer.C:
		return -1, &TimeoutError{What: "the program's end", After: t.o.Timeout, Screen: t.Screen()}
	case <-ctx.Done():
		return -1, ctx.Err()
	}
}

// Close ends the program if it still runs (first by asking) and gives its exit
// code, -1 where a signal ended it.
func (t *Terminal) Close() int {
	select {
	case <-t.ended:
	default:
		_ = t.Signal(syscall.SIGTERM) // it may have ended this moment
		timer := time.NewTimer(grace)
		defer timer.Stop()
		select {
		case <-t.ended:
		case <-timer.C:
			// The program leads a group of its own, which holds its children too.
			_ = syscall.Kill(-t.cmd.Process.Pid, syscall.SIGKILL)
			<-t.ended
		}
	}
	_ = t.pty.Close()
	return t.code
}
