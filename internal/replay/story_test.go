package replay

import (
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/watch"
)

// What is told of a replay asks nobody to do anything, whatever the engine says:
// a stop, a warning, the look-ahead and a sensor that comes off are among it.
func TestStoryAsksForNothing(t *testing.T) {
	r := exampleRig(t)
	e := pull.New(pull.Config{Kind: pull.Tension, Rig: r})
	chain := r.Chain()
	p0, _ := chain.Pressure(0)
	p1, _ := chain.Pressure(1)
	asked, stops, blind := 0, 0, 0
	for i := range 20_000 {
		at := time.Duration(i) * time.Millisecond
		kn := 0.0
		if i > 3000 {
			kn = min(50, float64(i-3000)/1000*8)
		}
		raw := float64((chain.PressureForSpecimen(0)-p0)/(p1-p0)) + kn*1e3*float64((chain.PressureForSpecimen(1)-chain.PressureForSpecimen(0))/(p1-p0))
		if i > 12_000 {
			raw = 0 // an open circuit
		}
		for _, ev := range e.Step(pull.Reading{T: at, Raw: raw}) {
			told, ok := watch.ToldOf(watch.EventOf(ev, e, time.Time{}))
			if !ok {
				continue
			}
			if asks(told.Text) {
				asked++
			}
			if text := past(told.Text); asks(text) {
				t.Errorf("%q", text)
			}
			if told.Level == pull.Stop {
				stops++
				if ev.Alarm.Blind {
					blind++
				}
			}
		}
	}
	if asked < 3 || stops < 2 || blind < 1 {
		t.Errorf("%d sentences that ask, %d stops, %d of blindness: this shows nothing", asked, stops, blind)
	}
}

func asks(text string) bool {
	for _, w := range []string{"release", "pump", "acknowledge "} {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}

// The story at a position is what was told up to it, and the remark the newest of
// its remarks.
func TestStoryUpToThePosition(t *testing.T) {
	dir, _ := usual.write(t, t.TempDir())
	r := open(t, dir, Options{})
	b := through(t, r)
	all := r.Snapshot().Story
	if len(all) < 5 {
		t.Fatalf("%d things told", len(all))
	}
	for _, at := range []time.Duration{0, b.Alarms[0] - 1, b.Alarms[0], b.Break, b.Length} {
		r.seekAnd(t, Transport{Do: SeekTo, To: at}, func(b Playback) bool { return b.At == at })
		got := r.Snapshot().Story
		n := 0
		for _, s := range all {
			if s.T <= at {
				n++
			}
		}
		if len(got) > n || len(got) < n-1 { // a break is told later than it was
			t.Errorf("at %v %d things told, want %d", at, len(got), n)
		}
	}
}
