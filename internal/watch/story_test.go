package watch

import (
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"draghand/internal/pull"
)

// What a snapshot tells stays as it is while the pull goes on.
func TestStoryIsSharedAndStays(t *testing.T) {
	var w Watch
	var wait sync.WaitGroup
	for i := range 1000 {
		w.note(Event{Kind: EventKind(pull.EvRemark), T: time.Duration(i), Text: strconv.Itoa(i)})
		got := w.notes()
		first := max(0, i+1-storyLength)
		if len(got) != i+1-first || got[0].T != time.Duration(first) || got[len(got)-1].T != time.Duration(i) {
			t.Fatalf("after %d: %d things from %v to %v", i, len(got), got[0].T, got[len(got)-1].T)
		}
		wait.Go(func() { // read while it goes on
			for j, n := range got {
				if want := time.Duration(first + j); n.T != want || n.Text != strconv.Itoa(int(want)) {
					t.Errorf("thing %d of the story after %d is %+v", j, i, n)
				}
			}
		})
	}
	wait.Wait()
}

func TestStoryWords(t *testing.T) {
	stop := pull.Alarm{Level: pull.Stop, Text: "stop: link bar", Limit: "link bar"}
	acked, back := stop, stop
	acked.Acked, back.Returned = true, true
	for _, c := range []struct {
		e    Event
		want []Told
	}{
		{fromEngine(pull.Event{Kind: pull.EvPhase, Phase: pull.Loading}, time.Time{}), []Told{{Text: "loading"}}},
		{fromEngine(pull.Event{Kind: pull.EvPhase, Phase: pull.Unclear, Text: "unclear: why"}, time.Time{}), []Told{{Text: "unclear: why"}}},
		{fromEngine(pull.Event{Kind: pull.EvZero, Text: "no zero taken: why"}, time.Time{}), []Told{{Text: "no zero taken: why"}}},
		{fromEngine(pull.Event{Kind: pull.EvAlarm, Alarm: stop}, time.Time{}), []Told{{Level: pull.Stop, Text: "stop: link bar"}}},
		{fromEngine(pull.Event{Kind: pull.EvAlarm, Alarm: acked}, time.Time{}), []Told{{Text: "acknowledged: stop: link bar"}}},
		{fromEngine(pull.Event{Kind: pull.EvAlarm, Alarm: back}, time.Time{}), []Told{{Text: "no longer: stop: link bar"}}},
		{Event{Kind: EventKind(pull.EvBreak), Provisional: true}, []Told{{Text: "break (not certain yet)"}}},
		{Event{Kind: EventKind(pull.EvLost), Text: "silent"}, []Told{{Text: "force out of sight: silent"}}},
		{Event{Kind: EventKind(pull.EvBack)}, []Told{{Text: "force in sight again"}}},
		{Event{Kind: Failed, Text: "NOT SAVED"}, []Told{{Text: "NOT SAVED"}}},
		{fromEngine(pull.Event{Kind: pull.EvPeak}, time.Time{}), nil},
		{Event{Kind: Armed}, nil},
		{Event{Kind: Saved}, nil},
		{Event{Kind: Ended, Text: "break"}, nil},
	} {
		var w Watch
		w.note(c.e)
		for i := range c.want {
			c.want[i].Kind = c.e.Kind
		}
		if got := w.notes(); !slices.Equal(got, c.want) {
			t.Errorf("%+v: %+v, want %+v", c.e, got, c.want)
		}
	}
}
