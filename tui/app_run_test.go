package tui

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"draghand/internal/bench"
	"draghand/internal/pull"
)

// sitting is a program that shows a sitting; it prints what RunApp returned and
// what was asked of the desk. Words: "edge" sends one, "panic=FILE" makes the look
// panic in the bell's goroutine once the file is there, "shelf" puts records on the shelf.
func sitting(ctx context.Context, words []string) int {
	d := endedDesk(pull.Tension, pull.Broken)
	d.src = broken()
	var desk Desk = d
	opts := Options{In: os.Stdin, Out: os.Stdout}
	for _, w := range words {
		edges := make(chan struct{}, 1)
		name, value, _ := strings.Cut(w, "=")
		switch name {
		case "edge":
			d.view.Look = states["stop"]().snap
			edges <- struct{}{}
		case "shelf":
			desk = &shelvedDesk{Desk: d, all: mixedEntries()}
		case "panic":
			desk = &panickyDesk{Desk: d}
			go edgeOnce(value, edges)
		}
		opts.Edges, opts.Bell = edges, true
	}
	err := RunApp(ctx, desk, opts)
	fmt.Fprintf(os.Stderr, "run returned: %v, asked %v\n", err, d.calls())
	if err != nil {
		return 1
	}
	return 0
}

// panickyDesk is a desk whose look fails for the bell's goroutine alone.
type panickyDesk struct{ Desk }

func (p *panickyDesk) View() *bench.View {
	if calledBy("tui.ringing") {
		panic("the desk fell over")
	}
	return p.Desk.View()
}

// TestSittingInATerminal: a sitting by keys, from the bench through a pull to what
// came out and out of the program, with the terminal as it was.
func TestSittingInATerminal(t *testing.T) {
	term := start(t, "sitting")
	took := term.until("READY: a arms the pull")
	t.Logf("first frame after %v", took.Round(time.Millisecond))
	if out := term.output(); strings.Contains(out, "\x1b]11;?") || strings.Contains(out, "\x1b[6n") {
		t.Errorf("the terminal was asked something: %q", out)
	}
	for _, step := range []struct{ keys, until string }{
		{"z", "zero asked for"},
		{"a", "q to the result"},
		{"q", "strength ± "},
		{"m", "your remark"}, // keys that come in one piece are a paste, and no command
		{"pore\r", "remark kept"},
		{"n", "READY: a arms the pull"},
		{"l", "no pull records yet"},
		{"b", "READY: a arms the pull"},
	} {
		from := len(term.output())
		_, _ = io.WriteString(term.master, step.keys)
		waitFor(t, step.until, func() bool { return strings.Contains(term.output()[from:], step.until) })
	}
	_, _ = io.WriteString(term.master, "q")
	out := term.end()
	term.restored(out)
	if want := `run returned: <nil>, asked [zero arm "" remark "pore" next bar]`; !strings.Contains(out, want) {
		t.Errorf("want %q; got %q", want, out[max(0, len(out)-300):])
	}
}

// TestSittingEnds: the errors and the bell of RunApp are those of Run.
func TestSittingEnds(t *testing.T) {
	term := start(t, "sitting")
	term.until("READY")
	_ = term.cmd.Process.Signal(syscall.SIGTERM)
	out := term.end()
	term.restored(out)
	if !strings.Contains(out, "run returned: <nil>") {
		t.Errorf("want a clean end; got %q", out[max(0, len(out)-300):])
	}

	term = start(t, "sitting edge")
	term.until("\a")

	edge := filepath.Join(t.TempDir(), "edge")
	term = start(t, "sitting panic="+edge)
	term.until("READY")
	write(t, edge)
	out = term.end()
	term.restored(out)
	if !strings.Contains(out, "run returned: the screen failed: the desk fell over") {
		t.Errorf("want the panic as an error; got %q", out[max(0, len(out)-300):])
	}
}
