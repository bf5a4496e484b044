package trace

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

// fails is what *testing.T and *rapid.T have in common here.
type fails interface {
	Helper()
	Fatal(args ...any)
}

func must(t fails, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// sitting is a simulated pull of a made-up rig: no metal was pulled.
type sitting struct {
	hz      int
	wait    time.Duration // before the load
	load    time.Duration // until the break
	topKN   float64
	noise   float64 // SD, counts
	offset  float64 // of the sensor's zero, counts
	far     bool
	noBar   bool            // no diameter was measured
	faults  []time.Duration // readings above the band, one each
	away    []span          // the source was away
	holes   []span          // no readings, and nobody says so
	open    []span          // the wire was off: faulty readings
	after   time.Duration   // readings after the break
	unended bool            // never closed
}

type span struct{ from, for_ time.Duration }

func in(all []span, at time.Duration) bool {
	for _, s := range all {
		if at >= s.from && at < s.from+s.for_ {
			return true
		}
	}
	return false
}

func exampleRig(t fails) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	must(t, err)
	return r
}

func (s sitting) head(t fails) record.Head {
	h := record.Head{
		Program: "draghand test", Started: time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC), Kind: pull.Tension,
		Specimen: specimen.Specimen{ID: "3", Melt: "M1", Alloy: "C90500", Simulated: true, Diameters: []si.Length{12.5 * si.Millimetre}},
		Rig:      exampleRig(t), Source: "sim:",
	}
	if s.noBar {
		h.Specimen.Diameters = nil
	}
	if s.far {
		h.Specimen.Side = specimen.Far
		h.Rig.Path.SpecimenArm, h.Rig.Path.FarArm = 90*si.Millimetre, 130*si.Millimetre
	}
	return h
}

// write makes the record of a pull through the engine, as a live pull does.
func (s sitting) write(t fails, shelf string) string {
	t.Helper()
	h := s.head(t)
	w, err := record.Create(shelf, h)
	must(t, err)
	chain := h.Rig.Chain()
	p0, _ := chain.Pressure(0)
	p1, _ := chain.Pressure(1)
	rnd := rand.New(rand.NewPCG(3, 5))
	e := pull.New(h.Config())
	text := make([]byte, 0, 32)
	mark := func(at time.Duration, m pull.Mark) {
		w.Mark(at, m, 0, "")
		e.Step(pull.Reading{T: at, Mark: m})
	}
	away := false
	at := time.Duration(0)
	for i := 0; ; i++ {
		at = time.Duration(i) * time.Second / time.Duration(s.hz)
		at = at.Truncate(time.Microsecond)
		if at > s.wait+s.load+s.after {
			break
		}
		if in(s.away, at) != away {
			if away = !away; away {
				mark(at, pull.Lost)
			} else {
				mark(at, pull.Back)
			}
		}
		if away || in(s.holes, at) {
			continue
		}
		kn := 0.0
		if at >= s.wait && at < s.wait+s.load {
			u := float64(at-s.wait) / float64(s.load)
			kn = s.topKN * (1 - math.Pow(1-u, 1.6))
		}
		raw := float64((chain.PressureForSpecimen(si.Force(kn*1e3)) - p0) / (p1 - p0))
		raw = math.Round(raw + s.offset + s.noise*rnd.NormFloat64())
		if in(s.open, at) {
			raw = 0
		}
		for _, f := range s.faults {
			if at <= f && f < at+time.Second/time.Duration(s.hz) {
				raw = 4095
			}
		}
		text = strconv.AppendFloat(text[:0], raw, 'f', -1, 64)
		w.Append(at, nil, text, "")
		e.Step(pull.Reading{T: at, Raw: raw})
		if i%50_000 == 49_999 {
			for hl := w.Health(); hl.Bytes-hl.Synced > 16<<20; hl = w.Health() {
				w.Event()
			}
		}
	}
	if s.unended { // as a killed program leaves it: another folder, without the lock
		for hl := w.Health(); hl.Synced != hl.Bytes; hl = w.Health() {
			w.Event()
		}
		to := filepath.Join(shelf, "cut off", filepath.Base(w.Dir()))
		must(t, os.CopyFS(to, os.DirFS(w.Dir())))
		must(t, os.Remove(filepath.Join(to, record.LockFile)))
		must(t, w.Close(record.Closing{}))
		return to
	}
	mark(at, pull.End)
	c := record.ClosingFrom(e.State().Clone(), record.ByBreak)
	c.Ended = h.Started.Add(at)
	must(t, w.Close(c))
	return w.Dir()
}

// usual is a pull of half a minute at 200 Hz.
var usual = sitting{hz: 200, wait: 3 * time.Second, load: 20 * time.Second, topKN: 33, noise: 1, after: 3 * time.Second}

var _ fails = (*testing.T)(nil)
