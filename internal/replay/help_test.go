package replay

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func exampleRig(t testing.TB) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	must(t, err)
	return r
}

// shape is a simulated pull: no metal was pulled.
type shape struct {
	n       int           // readings
	every   time.Duration // between two
	topKN   float64       // at the break
	at      float64       // part of the record at which it breaks
	unended bool          // no end mark, no closing
}

// usual is a pull of a minute at 200 Hz past the limit of the link bar.
var usual = shape{n: 12_000, every: 5 * time.Millisecond, topKN: 50, at: 0.7}

// write makes a record of a shape through the engine, as a live pull does, and
// returns its folder with all readings and marks that the engine was given.
func (s shape) write(t testing.TB, shelf string) (dir string, given []pull.Reading) {
	t.Helper()
	r := exampleRig(t)
	h := record.Head{
		Program: "draghand test", Started: time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC), Kind: pull.Tension,
		Specimen: specimen.Specimen{ID: "3", Melt: "M1", Alloy: "C90500", Simulated: true, Diameters: []si.Length{12.5 * si.Millimetre}},
		Rig:      r, Source: "sim:",
	}
	w, err := record.Create(shelf, h)
	must(t, err)
	chain := r.Chain()
	p0, _ := chain.Pressure(0)
	p1, _ := chain.Pressure(1)
	rnd := rand.New(rand.NewPCG(3, 5))
	e := pull.New(h.Config())
	keep := s.n <= 1_000_000
	var at time.Duration
	text := make([]byte, 0, 32)
	slack := int(3 * time.Second / s.every)
	broke := int(float64(s.n) * s.at)
	for i := range s.n {
		at = time.Duration(i) * s.every
		kn := 0.0
		if i >= slack && i < broke {
			u := float64(i-slack) / float64(broke-slack)
			kn = s.topKN * (1 - math.Pow(1-u, 1.6))
			kn += 0.3 * math.Mod(at.Seconds(), 1.4) / 1.4 // strokes
		}
		raw := float64((chain.PressureForSpecimen(si.Force(kn*1e3)) - p0) / (p1 - p0))
		raw = math.Round(raw + rnd.NormFloat64())
		if i == broke/2 { // a fault
			raw = 0
		}
		text = strconv.AppendFloat(text[:0], raw, 'f', -1, 64)
		w.Append(at, nil, text, "")
		rd := pull.Reading{T: at, Raw: raw}
		e.Step(rd)
		if keep {
			given = append(given, rd)
		}
		if i%100_000 == 99_999 {
			for hl := w.Health(); hl.Bytes-hl.Synced > 32<<20; hl = w.Health() {
				w.Event()
			}
		}
		if i == broke-10 || i == broke+500 {
			w.Mark(at, pull.Ack, 0, "")
			e.Step(pull.Reading{T: at, Mark: pull.Ack})
			if keep {
				given = append(given, pull.Reading{T: at, Mark: pull.Ack})
			}
		}
	}
	if s.unended {
		dir = w.Dir()
		t.Cleanup(func() { _ = w.Close(record.Closing{}) })
		until(t, "all is on disk", func() bool { w.Event(); hl := w.Health(); return hl.Synced == hl.Bytes })
		// As a killed program leaves it: another folder, without the lock.
		to := filepath.Join(t.TempDir(), filepath.Base(dir))
		must(t, os.CopyFS(to, os.DirFS(dir)))
		must(t, os.Remove(filepath.Join(to, record.LockFile)))
		return to, given
	}
	w.Mark(at, pull.End, 0, "")
	end := pull.Reading{T: at, Mark: pull.End}
	e.Step(end)
	given = append(given, end)
	c := record.ClosingFrom(e.State().Clone(), record.ByBreak)
	c.Ended = h.Started.Add(at)
	must(t, w.Close(c))
	return w.Dir(), given
}

// until waits for a condition, with a deadline no healthy machine reaches.
func until(t testing.TB, what string, ok func() bool) {
	t.Helper()
	pause := time.NewTicker(time.Millisecond)
	defer pause.Stop()
	for end := time.Now().Add(30 * time.Second); !ok(); <-pause.C {
		if time.Now().After(end) {
			t.Fatalf("after 30 s still not: %s", what)
		}
	}
}

func open(t testing.TB, dir string, o Options) *Replay {
	t.Helper()
	r, err := Open(dir, o)
	must(t, err)
	t.Cleanup(r.Close)
	return r
}

// through waits until the whole record is known and the position landed.
func through(t testing.TB, r *Replay) Playback {
	t.Helper()
	until(t, "the pass is through", func() bool { b := r.Playback(); return b.Lines > 0 && !b.Seeking })
	return r.Playback()
}

// seek asks for something and waits until ok holds of the position.
func (r *Replay) seekAnd(t testing.TB, w Transport, ok func(Playback) bool) Playback {
	t.Helper()
	r.Control(w)
	until(t, "the position is reached", func() bool { b := r.Playback(); return !b.Seeking && ok(b) })
	return r.Playback()
}

// fed is a fresh engine fed with all up to a time.
func fed(t testing.TB, dir string, given []pull.Reading, upTo time.Duration) pull.State {
	t.Helper()
	rec, err := record.Open(dir)
	must(t, err)
	e := pull.New(rec.Head.Config())
	for _, rd := range given {
		if rd.T > upTo {
			break
		}
		e.Step(rd)
	}
	return e.State().Clone()
}
