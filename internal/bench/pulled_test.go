package bench

import (
	"strings"
	"testing"
	"testing/synctest"

	"draghand/internal/si"
	"draghand/internal/watch"
)

// A bar that is pulled without being armed leaves no record: the largest force is
// told until a pull is armed, and what is about the bar is asked for again.
func TestLoadWithoutArming(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, nil)
		b.ready(t)
		if b.View().LoadSeen != nil {
			t.Error("load was seen where there was none")
		}
		d.do(func() { d.raw = slack + 400 })
		await(t, "the load is told", func() bool { return b.View().LoadSeen != nil })
		d.do(func() { d.raw = slack })
		await(t, "the load is off", func() bool {
			return !b.refused("load on the rig") && b.refused("3 points of 11 are not seen to: guard, line, stroke")
		})
		d.do(func() { d.raw = slack + 200 })
		await(t, "there is less load", func() bool { return b.refused("there is load on the rig") })
		d.do(func() { d.raw = slack })
		await(t, "it may be armed", func() bool { b.goRound(); return len(b.View().Refusals) == 0 })
		// 400 counts of 5 V in 4096 over 250 ohm are 1.953 mA, 12.2 % of 16 mA, so 85.4 of
		// 700 bar; on 42 cm² 35.9 kN and on the specimen half of it.
		l := b.View().LoadSeen
		if l == nil || l.Largest < 17.7e3 || l.Largest > 18.3e3 || !strings.HasPrefix(l.Text(si.Metric), "not recorded: largest force 1") {
			t.Fatalf("seen: %+v", l)
		}
		b.pullBoard(t, d, "")
		if l := b.View().LoadSeen; l != nil {
			t.Errorf("after a pull was armed: %+v", l)
		}
	})
}

// Two bars of one number are refused, whether the first was pulled in this sitting
// or lies on the shelf; simulated and never loaded ones are no such bars.
func TestPulledAlready(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, nil)
		b.ready(t)
		b.pullBoard(t, d, "") // never loaded
		b.goRound()
		await(t, "a bar that was not pulled may be", func() bool { return len(b.View().Refusals) == 0 })
		w, err := b.Arm("")
		if err != nil {
			t.Fatal(err)
		}
		await(t, "it reads", func() bool { return w.Snapshot().State.Zero.Set })
		d.do(func() { d.raw = slack + 400 })
		await(t, "it is loaded", func() bool { return w.Snapshot().State.LoadedAt > 0 })
		d.do(func() { d.raw = slack })
		w.Do(watch.EndPull)
		await(t, "it is closed", func() bool { return b.Ended() != nil })

		other := withBoard(t, d, nil, func(_ *table, o *Options) { o.Shelf = b.shelf })
		for name, one := range map[string]*table{"in this sitting": b, "on the shelf": other} {
			await(t, name+": it is refused", func() bool { one.goRound(); return one.refused("specimen 1 of melt M1 was pulled already: 20") })
			await(t, name+": for that alone, and not for good", func() bool {
				one.goRound()
				rs := one.View().Refusals
				return len(rs) == 1 && !rs[0].Final
			})
			if next := one.next(); next != "2" {
				t.Errorf("%s: the next is %q", name, next)
			}
			set(t, one, FieldMelt, "M2")
			if one.refused("was pulled already") {
				t.Errorf("%s: bar 1 of another melt is refused", name)
			}
			set(t, one, FieldMelt, "M1")
			set(t, one, FieldSpecimen, "")
			if one.refused("was pulled already") {
				t.Errorf("%s: a bar without a number is refused", name)
			}
		}
	})
}
