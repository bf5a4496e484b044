package tui

import (
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"draghand/internal/shelf"
	"draghand/internal/trace"
)

// shelvedDesk is a desk with records on its shelf, none of which can be opened.
type shelvedDesk struct {
	Desk
	all []shelf.Entry
}

func (d *shelvedDesk) Shelf() ([]shelf.Entry, error) { return d.all, nil }

func (d *shelvedDesk) Prove(_ context.Context, dir string) (*trace.Trace, error) { return d.Trace(dir) }

func (d *shelvedDesk) Trace(string) (*trace.Trace, error) {
	return nil, errors.New("its readings are gone")
}

func (d *shelvedDesk) Noted(string) (Noted, error) {
	return Noted{}, errors.New("its head is gone")
}

func (d *shelvedDesk) Replay(string, string) (Player, error) {
	return nil, errors.New("its readings are gone")
}

// TestShelfInATerminal: from the bench to the shelf by keys alone, through its
// records and back, with the terminal as it was.
func TestShelfInATerminal(t *testing.T) {
	term := start(t, "sitting shelf")
	term.until("READY: a arms the pull")
	for _, step := range []struct{ keys, until string }{
		{"l", "10 pull records, 1 other folder"},
		{"\x1b[B", "unfinished: it"},
		{"j", "damaged: pull.json"},
		{"\r", "cannot be shown again: pull.json is torn, its end is missing"},
		{"G", "move it elsewhere"},
		{"g", "being written: a"},
		{"\x1b[B", "unfinished: it"},
		{"\r", "its readings are gone"},
		{"?", "help: the shelf"},
		{"x", "10 pull records, 1 other folder"},
		{"\x1b", "READY: a arms the pull"},
	} {
		from := len(term.output())
		_, _ = io.WriteString(term.master, step.keys)
		waitFor(t, step.until, func() bool { return strings.Contains(term.output()[from:], step.until) })
	}
	_, _ = io.WriteString(term.master, "q")
	out := term.end()
	term.restored(out)
	if !strings.Contains(out, "run returned: <nil>") {
		t.Errorf("it ended otherwise: %q", out[max(0, len(out)-300):])
	}
}
