package tui

import (
	"bytes"
	"os"
	"sync/atomic"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// TestBellRepeats: while a stop or blindness is not acknowledged the bell rings
// once a second of ticks, and at no other time. Source: issue 4, by hand.
func TestBellRepeats(t *testing.T) {
	tests := []struct {
		state string
		keys  []string
		want  int // bells in 10 s
	}{
		{"stop", nil, 9}, // the first is the edge's
		{"blind", nil, 9},
		{"blind-back", nil, 9},
		{"stop-closed", nil, 9},
		{"stop-closed", []string{"a"}, 0}, // acknowledged on the screen alone
		{"stop-acknowledged", nil, 0},
		{"warning", nil, 0},
		{"loading", nil, 0},
		{"broken-saved", nil, 0},
	}
	for _, tt := range tests {
		var out bytes.Buffer
		m := screen(states[tt.state](), 80, 24, termenv.Ascii)
		m.bell = bell{out: &out, busy: &atomic.Bool{}}
		m, _ = press(m, tt.keys...)
		start := time.Date(2026, 11, 25, 14, 0, 0, 0, time.UTC)
		for i := range 300 {
			m = tickAt(m, start.Add(time.Duration(i)*frameTime))
		}
		if n := bytes.Count(out.Bytes(), []byte("\a")); n != tt.want || n != out.Len() {
			t.Errorf("%s %v: %d bells, %d bytes, want %d", tt.state, tt.keys, n, out.Len(), tt.want)
		}
	}
}

// tickAt gives a screen its tick and does at once what the bell asks for.
func tickAt(m PullScreen, at time.Time) PullScreen {
	b := m.bell
	if cmd := b.ring(m.stopping() != nil, at); cmd != nil {
		cmd()
	}
	next, _ := m.Update(tickMsg{m.tickID, at})
	if b.busy != nil {
		b.busy.Store(false) // of the same bell, not rung a second time
	}
	return next.(PullScreen)
}

// TestBellOfATick: the tick itself hands the bell out, beside the next tick.
func TestBellOfATick(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	m := NewPullScreen(states["stop"](), Options{Out: w, Bell: true})
	start := time.Date(2026, 11, 25, 14, 0, 0, 0, time.UTC)
	m = send(m, tickMsg{m.tickID, start})
	_, cmd := m.Update(tickMsg{m.tickID, start.Add(time.Second)})
	batch, ok := cmd().(tea.BatchMsg)
	if !ok {
		t.Fatal("no bell beside the tick")
	}
	for _, c := range batch {
		go c()
	}
	one := make([]byte, 1)
	if _, err := r.Read(one); err != nil || one[0] != '\a' {
		t.Errorf("read %q, %v", one, err)
	}
	w.Close()
	if silent := NewPullScreen(states["stop"](), Options{Out: w}); silent.bell.out != nil {
		t.Error("a bell nobody asked for")
	}
}

// TestBellWaitsForOne: a terminal that takes nothing holds up one bell, not one a
// second.
func TestBellWaitsForOne(t *testing.T) {
	b := bell{out: &bytes.Buffer{}, busy: &atomic.Bool{}}
	now := time.Date(2026, 11, 25, 14, 0, 0, 0, time.UTC)
	b.ring(true, now)
	first := b.ring(true, now.Add(time.Second))
	if first == nil || b.ring(true, now.Add(2*time.Second)) != nil {
		t.Error("a second bell while the first waits")
	}
	first()
	if b.ring(true, now.Add(3*time.Second)) == nil {
		t.Error("no bell once the first is through")
	}
}
