package bench

import (
	"errors"
	"strings"
	"testing"
	"testing/synctest"
)

// A reason is about what the person saw when it was asked for: what came on while
// it was typed, or grew, refuses anew; what only wanders does not.
func TestReasonIsAboutWhatWasShown(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, nil)
		b.ready(t)
		b.Confirm(PointAir, false)
		shown := b.View()
		if len(shown.Refusals) != 1 || !b.refused("1 point of 11") {
			t.Fatalf("refused: %s", whats(shown.Refusals))
		}
		again := func(what, unseen string) {
			t.Helper()
			_, err := b.Bench.Arm("I know about the air", shown)
			why := new(Refused)
			if !errors.As(err, &why) || len(why.Unseen) == 0 || !strings.Contains(why.Error(), unseen) {
				t.Fatalf("%s: armed, or refused by %v", what, err)
			}
			if n := len(b.records(t)); n != 0 {
				t.Fatalf("%s: it left %d records", what, n)
			}
		}
		b.Confirm(PointGuard, false)
		again("another point", "2 points of 11")
		b.Confirm(PointGuard, true)

		d.do(func() { d.raw = slack + 100 })
		await(t, "the load is seen", func() bool { return b.refused("there is load on the rig") })
		again("load", "there is load on the rig")

		await(t, "it is all there", func() bool { return b.View().Look.State.Live.Specimen > 4e3 })
		shown = b.View()
		d.do(func() { d.raw = slack + 400 })
		await(t, "there is more of it", func() bool { return b.View().Look.State.Live.Specimen > 16e3 })
		again("more load", "there is load on the rig: ")

		_, err := b.Bench.Arm("nothing was shown", nil)
		if why := new(Refused); !errors.As(err, &why) || len(why.Unseen) != len(why.Refusals) {
			t.Errorf("without a view: %v", err)
		}
		shown = b.View()
		d.do(func() { d.raw = slack + 420 }) // 5 % more
		await(t, "it has wandered", func() bool { return b.View().Look.State.Live.Specimen > shown.Look.State.Live.Specimen+500 })
		b.goRound() // fewer points are no news either
		if _, err := b.Bench.Arm("a trial of the limits", shown); err != nil {
			t.Errorf("what was shown, and wandered: %v", err)
		}
	})
}
