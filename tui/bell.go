package tui

import (
	"io"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// bellEvery is the distance of two bells while a stop is not acknowledged.
const bellEvery = time.Second

// bell repeats the terminal's bell. The zero value is silent.
//
// One byte written to the file of the frames falls between two of them: see
// forward.
type bell struct {
	out  io.Writer
	rung time.Time    // when last, or when the stop was first seen
	busy *atomic.Bool // a bell waits for a terminal that takes nothing
}

// ring rings once a second as long as on. The first time is the edge's, which is
// told at once. A bell waits for the terminal outside Update, and only one does.
func (b *bell) ring(on bool, now time.Time) tea.Cmd {
	switch {
	case b.out == nil:
		return nil
	case !on:
		b.rung = time.Time{}
		return nil
	case b.rung.IsZero():
		b.rung = now
		return nil
	case now.Sub(b.rung) < bellEvery || !b.busy.CompareAndSwap(false, true):
		return nil
	}
	b.rung = now
	out, busy := b.out, b.busy
	return func() tea.Msg {
		defer busy.Store(false)
		_, _ = io.WriteString(out, "\a")
		return nil
	}
}
