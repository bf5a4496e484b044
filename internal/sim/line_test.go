package sim

import (
	"math"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/wire"
)

// What the board sends must be read back by the program's own decoder: every
// reading once, with its number and its clock.
func TestLinesAreReadBack(t *testing.T) {
	bar := rig.Sensor{Kind: rig.PressureOut, High: 700 * si.Bar, UnitFactor: si.Bar}
	rows := map[string]struct {
		source rig.Source
		sensor *rig.Sensor
		tick   time.Duration
		fault  string
		bad    int
	}{
		"example":       {rig.Source{Separator: ",", Columns: []string{"time", "raw"}, Clock: "us", ClockBits: 32}, nil, time.Microsecond, "", 0},
		"raw only":      {rig.Source{Separator: ",", Columns: []string{"raw"}}, nil, 0, "", 0},
		"blanks, ms":    {rig.Source{Separator: "space", Columns: []string{"-", "raw", "time"}, Clock: "ms", ClockBits: 32}, nil, time.Millisecond, "", 0},
		"tab, seconds":  {rig.Source{Separator: "\t", Columns: []string{"time", "raw"}, Clock: "s"}, nil, time.Second, "", 0},
		"checksum":      {rig.Source{Separator: ";", Columns: []string{"time", "-", "raw"}, Clock: "us", ClockBits: 32, Checksum: "xor"}, nil, time.Microsecond, "", 0},
		"decimals":      {rig.Source{Separator: ",", Columns: []string{"time", "raw"}, Clock: "us", ClockBits: 32}, &bar, time.Microsecond, "", 0},
		"banner, noise": {rig.Source{Separator: ",", Columns: []string{"time", "raw"}, Clock: "us", ClockBits: 32}, nil, time.Microsecond, "banner", 1},
	}
	for name, row := range rows {
		t.Run(name, func(t *testing.T) {
			r := exampleRig(t)
			r.Source = row.source
			if row.sensor != nil {
				r.Sensor = *row.sensor
			}
			s := mustNew(t, Options{Rig: r, Seed: 9, Fault: row.fault})
			d, err := wire.NewDecoder(wire.Layout{
				Separator: r.Source.Separator, Columns: r.Source.Columns,
				XOR: r.Source.Checksum == "xor", Tick: row.tick, ClockBits: r.Source.ClockBits,
			})
			if err != nil {
				t.Fatal(err)
			}
			all := run(s, 20*time.Second)
			good, bad := 0, 0
			for _, smp := range all {
				d.Decode(s.AppendLine(nil, smp), func(l *wire.Line) {
					switch l.Kind {
					case wire.Bad:
						bad++
						return
					case wire.Banner:
						return
					}
					good++
					if l.Raw != smp.Raw {
						t.Fatalf("at %s %q is read as %g, sent was %g", smp.T, l.Text, l.Raw, smp.Raw)
					}
					tick := row.tick
					if tick == time.Second {
						tick = time.Microsecond // ticks of a clock in seconds are µs
					}
					if l.HasDev && math.Abs(float64(l.Dev)-float64(smp.Board)*float64(tick)) > 1 {
						t.Fatalf("at %s %q: clock read as %s, sent were %d ticks", smp.T, l.Text, l.Dev, smp.Board)
					}
				})
			}
			if good != len(all) || bad != row.bad {
				t.Errorf("%d lines sent, %d read back, %d bad, want %d bad", len(all), good, bad, row.bad)
			}
		})
	}
}

// A board served four times as fast counts a quarter of the simulated time, so
// that its clock goes with the wall's.
func TestClockSpeed(t *testing.T) {
	span := func(speed float64) float64 {
		s, err := New(Options{Rig: exampleRig(t), Seed: 3, ClockSpeed: speed})
		if err != nil {
			t.Fatal(err)
		}
		first, _ := s.Next()
		var last Sample
		for last.T < 2*time.Second {
			last, _ = s.Next()
		}
		return float64(last.Board - first.Board)
	}
	if got := span(1) / span(4); math.Abs(got-4) > 1e-4 {
		t.Errorf("the clock at speed 4 counts 1/%.5f of the other, want 1/4", got)
	}
	if _, err := New(Options{Rig: exampleRig(t), ClockSpeed: -1}); err == nil {
		t.Error("a clock that runs backwards was taken")
	}
}
