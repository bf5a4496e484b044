package bench

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/pull"
)

// light is 2 kN on the specimen of the example rig and more: load that a sensor
// may also lie off by itself.
const light = 50

// A zero asked for under load is refused, by an impatient finger too, and throws
// the good one away in no case.
func TestZeroUnderLoad(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		counts float64
		ever   bool // it may be taken where it is asked for again
	}{"light": {light, true}, "heavy": {400, false}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				d := &board{raw: slack}
				b := withBoard(t, d, nil, nil)
				b.ready(t)
				d.do(func() { d.raw = slack + c.counts })
				await(t, "the load is seen", func() bool { return b.refused("there is load on the rig") })
				began := time.Now()
				for range 5 {
					if err := b.Zero(); err == nil || !strings.Contains(err.Error(), "it would hide the load") || strings.Contains(err.Error(), "ask again") != c.ever {
						t.Fatalf("a zero under load: %v", err)
					}
				}
				if !c.ever {
					await(t, "the time to ask again is over", func() bool { return time.Since(began) > againFrom+200*time.Millisecond })
					if err := b.Zero(); err == nil {
						t.Error("a zero was taken of what no sensor lies off by")
					}
				}
				if v := b.View(); v.Look.State.Zero.Raw > slack+2 || !v.Look.State.Zero.Set {
					t.Errorf("the zero is %+v", v.Look.State.Zero)
				}
				d.do(func() { d.raw = slack })
				await(t, "the load is off", func() bool { b.goRound(); return len(b.View().Refusals) == 0 })
			})
		})
	}
}

// A zero that was taken under load in spite of all wants a reason, and is no longer
// held against the right one once the load is off.
func TestZeroUnderLoadAskedTwice(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack + light}
		b := withBoard(t, d, nil, nil)
		await(t, "there is a zero", func() bool { l := b.View().Look; return l != nil && l.State.Zero.Set })
		b.goRound()
		await(t, "it is not believed: no other is known", func() bool { return b.refused("no earlier zero of this rig is known") })
		if rs := b.View().Refusals; len(rs) != 1 || rs[0].Final {
			t.Errorf("refused: %s", whats(rs))
		}
		d.do(func() { d.raw = slack })
		await(t, "a force under nothing is seen", func() bool { return b.refused("the zero has moved: −") || b.refused("the zero has moved: -") })
		await(t, "a new zero is right", func() bool {
			if len(b.View().Refusals) == 0 {
				return true
			}
			b.goRound()
			_ = b.Zero()
			return false
		})
		if s := b.View().Look.State; s.Zero.Raw > slack+2 || s.Phase != pull.Slack {
			t.Errorf("the zero is %+v", s.Zero)
		}
	})
}
