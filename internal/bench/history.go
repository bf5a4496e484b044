package bench

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/shelf"
	"draghand/internal/specimen"
)

// noted is what the bench keeps of a closed record on the shelf, to know which of
// ten thousand to read for the rig in front.
type noted struct {
	name      string
	at        time.Time
	rig       string
	simulated bool
	read      bool // its readings came from a sensor on the rig
	check     bool
}

// note keeps a closed record in mind.
func (s *shelfBars) note(name string, b *record.Brief) {
	if b.Closing == nil {
		return
	}
	s.noted = append(s.noted, noted{
		name: name, at: b.Started, rig: b.RigName, simulated: b.Specimen.Simulated, read: !b.ByEye && !b.Imported, check: b.Specimen.Stock != "",
	})
	s.fresh = true
}

// zeroed is the zero of one pull.
type zeroed struct {
	at  time.Time
	raw float64
}

// history is what the records of one rig say of it. Nobody changes it.
type history struct {
	rig       string
	simulated bool
	zeros     []zeroed      // of the rig's present sensor, oldest first
	stocks    []shelf.Stock // of this rig, real or simulated as the source is, by its sensor
}

// Bounds on the zeros that are looked at.
const (
	mostZeros = 20
	zerosBack = 90 * 24 * time.Hour
)

// checkRead is a check bar as it was read, and when its head was written: what is
// measured after the pull is added to it.
type checkRead struct {
	entry   shelf.Entry
	written time.Time
}

// tendHistory reads the records of the rig in front that have come, or have been
// added to. The caller holds work.
func (b *Bench) tendHistory() {
	s := &b.heads
	var r *rig.Rig
	b.locked(func() { r = b.form.rig })
	if r == nil {
		return
	}
	simulated := b.src != nil && b.src.simulated
	same := s.of == r && s.ofSimulated == simulated
	if same && !s.fresh && time.Since(s.told) < pulledEvery {
		return
	}
	anew := !same || s.fresh
	s.of, s.ofSimulated, s.fresh, s.told = r, simulated, false, time.Now()
	checks, changed := b.readChecks(r.Name, simulated)
	if !anew && !changed {
		return
	}
	h := &history{rig: r.Name, simulated: simulated, zeros: b.readZeros(r, simulated), stocks: shelf.Stocks(checks)}
	h.stocks = slices.DeleteFunc(h.stocks, func(o shelf.Stock) bool { return o.ByEye })
	b.mu.Lock()
	defer b.mu.Unlock()
	b.history = h
	b.changed()
}

// readChecks are the check bars of a rig, and whether one is other than it was.
func (b *Bench) readChecks(name string, simulated bool) (out []shelf.Entry, changed bool) {
	s := &b.heads
	for _, n := range s.noted {
		if !n.check || n.rig != name || n.simulated != simulated {
			continue
		}
		dir := filepath.Join(b.o.Shelf, n.name)
		info, err := os.Stat(filepath.Join(dir, record.HeadFile))
		if err != nil {
			continue // it was taken away
		}
		was, ok := s.checks[n.name]
		if !ok || !was.written.Equal(info.ModTime()) {
			was, changed = checkRead{shelf.Read(dir), info.ModTime()}, true
			if s.checks == nil {
				s.checks = map[string]checkRead{}
			}
			s.checks[n.name] = was
		}
		out = append(out, was.entry)
	}
	return out, changed
}

// readZeros are the zeros of the newest pulls on a rig, as far back as its sensor
// is the one of today.
func (b *Bench) readZeros(r *rig.Rig, simulated bool) (out []zeroed) {
	if r.Sensor.Zeroed {
		return nil
	}
	s := &b.heads
	var mine []noted
	for _, n := range s.noted {
		if n.read && n.rig == r.Name && n.simulated == simulated && time.Since(n.at) < zerosBack {
			mine = append(mine, n)
		}
	}
	slices.SortFunc(mine, func(a, b noted) int { return cmp.Or(b.at.Compare(a.at), strings.Compare(b.name, a.name)) })
	for _, n := range mine[:min(len(mine), mostZeros)] {
		h, err := record.HeadOf(filepath.Join(b.o.Shelf, n.name))
		if err != nil || h.Closing == nil || !h.Closing.Zero.Set || h.Closing.Zero.Raw == nil {
			continue
		}
		if h.Rig.Sensor != r.Sensor {
			break
		}
		out = append(out, zeroed{h.Started, *h.Closing.Zero.Raw})
	}
	slices.Reverse(out)
	return out
}

// stock is the chart that the bench tells of: that of the stock on the bench, else
// the one with the newest bar, of the side the bar stands on; nil where there is none.
func (m *moment) stock() *shelf.Stock {
	var first *shelf.Stock
	for i := range m.history.stocks {
		s := &m.history.stocks[i]
		switch {
		case s.Far != (m.setup.Bar.Side == specimen.Far):
		case s.Name == m.setup.Bar.Stock:
			return s
		case first == nil:
			first = s
		}
	}
	return first
}
