package sim

import (
	"math"
	"strings"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// faulty runs a pull with a fault for 25 s at 200 Hz.
func faulty(t *testing.T, name string) (*Sim, []Sample) {
	t.Helper()
	s := mustNew(t, Options{Seed: 1, Fault: name})
	all := run(s, 25*time.Second)
	if all[len(all)-1].T < 24*time.Second {
		t.Fatalf("fault %s: the readings end at %s", name, all[len(all)-1].T)
	}
	at := s.Truth().FaultAt
	for _, smp := range all {
		if smp.Note != "" {
			if smp.T < at || smp.T > at+time.Second {
				t.Errorf("fault %s is noted at %s, truth says %s", name, smp.T, at)
			}
			return s, all
		}
	}
	t.Fatalf("fault %s is nowhere noted", name)
	return nil, nil
}

func TestFaultUnderLoadBeginsUnderLoad(t *testing.T) {
	for _, name := range []string{"unplug", "open", "stuck", "clipped", "reset"} {
		tr := mustNew(t, Options{Seed: 1, Fault: name}).Truth()
		f := mustNew(t, Options{Seed: 1}).pull.at(tr.FaultAt).TrueSpecimen
		if f < tr.PeakSpecimen/2 || tr.FaultAt >= tr.PeakAt {
			t.Errorf("fault %s begins at %s with %s", name, tr.FaultAt, f.Text(si.Metric))
		}
	}
}

func TestFaultUnplug(t *testing.T) {
	_, all := faulty(t, "unplug")
	seen := 0
	for i, smp := range all {
		if !smp.Unplug {
			continue
		}
		seen++
		if gap := all[i+1].T - smp.T; gap < UnplugFor || gap > UnplugFor+10*time.Millisecond {
			t.Errorf("gone for %s", gap)
		}
		if all[i+1].Board > 1e6 {
			t.Errorf("after being plugged in again the board's clock says %d µs", all[i+1].Board)
		}
	}
	if seen != 1 {
		t.Errorf("%d unpluggings", seen)
	}
}

func TestFaultOpen(t *testing.T) {
	s, all := faulty(t, "open")
	c, at := s.Options().Rig.Chain(), s.Truth().FaultAt
	for _, smp := range all {
		_, sig := c.Pressure(smp.Raw)
		if want := smp.T >= at; (sig == rig.Open) != want {
			t.Fatalf("at %s raw %g is %s", smp.T, smp.Raw, sig)
		}
	}
}

func TestFaultStuck(t *testing.T) {
	s, all := faulty(t, "stuck")
	at := s.Truth().FaultAt
	values := map[float64]int{}
	for _, smp := range all {
		if smp.T >= at {
			values[smp.Raw]++
		}
	}
	if len(values) != 1 {
		t.Errorf("the frozen reading took %d values", len(values))
	}
}

func TestFaultClipped(t *testing.T) {
	s, all := faulty(t, "clipped")
	level := s.faults[0].level
	clipped := 0
	for _, smp := range all {
		full := smp.Raw == 4095
		if want := smp.TruePressure >= level && smp.T >= s.Truth().FaultAt; full != want {
			t.Fatalf("at %s with %s raw is %g", smp.T, smp.TruePressure.Text(si.Metric), smp.Raw)
		}
		if full {
			clipped++
		}
	}
	if clipped < 200 {
		t.Errorf("only %d readings are clipped", clipped)
	}
}

func TestFaultSpike(t *testing.T) {
	s, all := faulty(t, "spike")
	plain := run(mustNew(t, Options{Seed: 1}), 25*time.Second)
	// The smallest spike is 30 % of the range, 983 counts; noise is one.
	spikes, lastAt := 0, -1
	for i := range all {
		switch d := all[i].Raw - plain[i].Raw; {
		case d == 0:
		case d > 900:
			spikes++
			if i == lastAt+1 {
				t.Errorf("two spikes side by side at %s", all[i].T)
			}
			lastAt = i
		default:
			t.Fatalf("at %s a reading is off by %g counts", all[i].T, d)
		}
	}
	if spikes < 8 {
		t.Errorf("%d spikes in 25 s", spikes)
	}
	_ = s
}

func TestFaultWrap(t *testing.T) {
	s, all := faulty(t, "wrap")
	wraps := 0
	for i := 1; i < len(all); i++ {
		d := int64(all[i].Board) - int64(all[i-1].Board)
		if d < 0 {
			wraps++
			d += 1 << 32
			if at := all[i].T; at < 3*time.Second || at > s.Truth().BreakAt {
				t.Errorf("the clock wraps at %s", at)
			}
		}
		if d < 4900 || d > 5100 { // 200 Hz, jitter 12 µs each, 40 ppm
			t.Fatalf("at %s the clock went on by %d µs", all[i].T, d)
		}
	}
	if wraps != 1 {
		t.Errorf("the clock wrapped %d times", wraps)
	}
}

func TestFaultReset(t *testing.T) {
	_, all := faulty(t, "reset")
	resets := 0
	for i := 1; i < len(all); i++ {
		if all[i].Board > all[i-1].Board {
			continue
		}
		resets++
		if gap := all[i].T - all[i-1].T; gap < resetGone || gap > resetGone+10*time.Millisecond {
			t.Errorf("silent for %s", gap)
		}
		if all[i].Before == "" || all[i].Board > 1e6 {
			t.Errorf("after the reset: %+v", all[i])
		}
	}
	if resets != 1 {
		t.Errorf("%d resets", resets)
	}
}

func TestFaultNoise(t *testing.T) {
	spread := func(all []Sample) float64 {
		var sum, sum2, n float64
		for _, smp := range all {
			if smp.Phase == Idle {
				sum, sum2, n = sum+smp.Raw, sum2+smp.Raw*smp.Raw, n+1
			}
		}
		return math.Sqrt(sum2/n - sum/n*sum/n)
	}
	_, all := faulty(t, "noise")
	if got, plain := spread(all), spread(run(mustNew(t, Options{Seed: 1}), 25*time.Second)); got < 10*plain {
		t.Errorf("SD %.2f counts with the fault, %.2f without", got, plain)
	}
}

func TestFaultBanner(t *testing.T) {
	_, all := faulty(t, "banner")
	for i, smp := range all {
		if (smp.Before != "") != (i == 0) {
			t.Fatalf("reading %d comes after %q", i, smp.Before)
		}
	}
}

func TestFaultsThatCannotBe(t *testing.T) {
	r := exampleRig(t)
	r.Source.ClockBits = 0
	if _, err := New(Options{Rig: r, Fault: "wrap"}); err == nil || !strings.Contains(err.Error(), "wraps") {
		t.Errorf("wrap of a clock that never does: %v", err)
	}
	r = exampleRig(t)
	r.Sensor = rig.Sensor{Kind: rig.PressureOut, High: 700 * si.Bar, UnitFactor: si.Bar}
	if _, err := New(Options{Rig: r, Fault: "open"}); err == nil || !strings.Contains(err.Error(), "wire") {
		t.Errorf("open circuit of a board that sends pressure: %v", err)
	}
}
