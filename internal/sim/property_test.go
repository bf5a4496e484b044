package sim

import (
	"math"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// anyOptions are options of any pull that may be asked for.
func anyOptions(t *rapid.T, r *rig.Rig) Options {
	kinds := []ActKind{
		LetOff, Slip, Preload, Pause, Hold, Giving, Fade, Flaw, Tear, Crack,
		Spike, Noise, Stuck, Clipped, Open, Unplug, Reset, Wrap, Banner, Dropout, End,
	}
	// Often left to the seed, else anywhere.
	some := func(name string, g *rapid.Generator[float64]) float64 {
		if rapid.Bool().Draw(t, name+" drawn") {
			return 0
		}
		return g.Draw(t, name)
	}
	long := rapid.Float64Range(0, 8)
	act := rapid.Custom(func(t *rapid.T) Act {
		return Act{
			Kind: rapid.SampledFrom(kinds).Draw(t, "act"), At: seconds(some("at", long)), Share: some("share", rapid.Float64Range(0, 2)),
			Size: some("size", rapid.Float64Range(0, 0.95)), For: seconds(some("for", long)),
			Times: rapid.IntRange(0, 5).Draw(t, "times"), Again: seconds(some("again", long)),
		}
	})
	return Options{
		Rig: r, Seed: rapid.Uint64().Draw(t, "seed"), Alloy: rapid.SampledFrom(Alloys()).Draw(t, "alloy"),
		Diameter: si.Length(rapid.Float64Range(2e-3, 50e-3).Draw(t, "diameter")),
		Rate:     rapid.Float64Range(5, 120).Draw(t, "rate"),
		Kind:     rapid.SampledFrom([]Kind{"", Tension, Crush, Proof}).Draw(t, "kind"),
		Noise:    some("noise", rapid.Float64Range(0, 0.25)),
		Target:   si.Force(some("target", rapid.Float64Range(0, 1e5))),
		Hold:     seconds(some("hold", long)),
		Script:   rapid.SliceOfN(act, 0, 6).Draw(t, "script"),
	}
}

// Whatever the script: numbers are finite, no force pulls the wrong way, time
// goes forward, the same options give the same readings, and the truth is the
// same at another rate, in a Sim used before.
func TestAnyScript(t *testing.T) {
	r := exampleRig(t)
	used := new(Sim)
	rapid.Check(t, func(t *rapid.T) {
		o := anyOptions(t, r)
		s, err := New(o)
		if err != nil {
			t.Fatalf("refused: %v", err)
		}
		tr := s.Truth()
		if tr.EndAt <= 0 || tr.PeakAt > tr.EndAt || (tr.BreakAt != 0) != (tr.Outcome == OutcomeBroken) {
			t.Fatalf("truth %+v", tr)
		}
		for i, e := range tr.Events {
			if e.Until < e.At || i > 0 && e.At < tr.Events[i-1].At || !finite(float64(e.From)) || !finite(float64(e.To)) {
				t.Fatalf("event %d of %+v", i, tr.Events)
			}
		}
		if err := used.Renew(o); err != nil {
			t.Fatal(err)
		}
		last := time.Duration(-1)
		for range 4000 {
			smp, ok := s.Next()
			again, _ := used.Next()
			if smp != again {
				t.Fatalf("the same options gave %+v and %+v", smp, again)
			}
			if smp.T <= last {
				t.Fatalf("time went from %s to %s", last, smp.T)
			}
			last = smp.T
			if !ok || smp.T > tr.EndAt+3*time.Second {
				break
			}
			if f := float64(smp.TrueSpecimen); !finite(f) || f < 0 || f > 1.001*float64(tr.PeakSpecimen) {
				t.Fatalf("at %s %g N on the specimen, the peak is %s", smp.T, f, tr.PeakSpecimen)
			}
			if p := float64(smp.TruePressure); !finite(p) || p < -1e5 || p > 1.001*float64(tr.PeakGauge)+1e5 {
				t.Fatalf("at %s %g Pa", smp.T, p)
			}
			if f := float64(smp.TrueRam); !finite(f) || f < 0 || !finite(smp.Raw) || smp.Raw < 0 || smp.Raw > 4095 {
				t.Fatalf("at %s %+v", smp.T, smp)
			}
		}
		o.Rate *= 3.7
		if err := used.Renew(o); err != nil {
			t.Fatal(err)
		}
		if other := used.Truth(); !reflect.DeepEqual(other, tr) {
			t.Fatalf("at %g Hz the pull is\n%+v, at %g Hz\n%+v", o.Rate, other, o.Rate/3.7, tr)
		}
	})
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// No script makes Next allocate, but for two remarks that fall on one reading.
func TestNextAllocatesNothingWhateverHappens(t *testing.T) {
	for _, name := range Faults() {
		s := mustNew(t, Options{Seed: 1, Rate: 1000, Fault: name})
		line := make([]byte, 0, 256)
		if n := testing.AllocsPerRun(25000, func() {
			smp, _ := s.Next()
			line = s.AppendLine(line[:0], smp)
		}); n != 0 {
			t.Errorf("%s: %g allocations a reading", name, n)
		}
	}
}

func TestScriptsThatCannotBe(t *testing.T) {
	for name, o := range map[string]Options{
		"act":        {Script: []Act{{Kind: "gremlin"}}},
		"share":      {Script: []Act{{Kind: Slip, Share: 3}}},
		"share, NaN": {Script: []Act{{Kind: Slip, Share: math.NaN()}}},
		"size":       {Script: []Act{{Kind: Slip, Size: 1}}},
		"time":       {Script: []Act{{Kind: Pause, For: -1}}},
		"times":      {Script: []Act{{Kind: Preload, Times: 1e6}}},
		"acts":       {Script: make([]Act, 1000)},
		"kind":       {Kind: "twist"},
		"noise":      {Noise: 2},
		"target":     {Kind: Proof, Target: -1},
		"hold":       {Kind: Proof, Hold: time.Hour},
		"names":      {Fault: "slip,gremlin"},
	} {
		o.Rig = exampleRig(t)
		if _, err := New(o); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

// The parts of a list of names all happen.
func TestSeveralFaults(t *testing.T) {
	tr := mustNew(t, Options{Seed: 2, Fault: "slip, Pause,spike"}).Truth()
	for _, kind := range []ActKind{Slip, Pause, Spike} {
		only(t, tr, EventKind(kind))
	}
}

// Goal: under 2 ms for a whole pull at 100 Hz, as a campaign of many has it.
func BenchmarkRenew(b *testing.B) {
	r := exampleRig(b)
	s := new(Sim)
	seed := uint64(0)
	b.ReportAllocs()
	for b.Loop() {
		seed++
		if err := s.Renew(Options{Rig: r, Seed: seed, Rate: 100}); err != nil {
			b.Fatal(err)
		}
	}
}
