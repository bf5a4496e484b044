package main

import (
	"slices"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// A look-ahead that comes back within five seconds is the same one: it is told
// once, and once that it is over.
func TestLookAheadIsToldOnce(t *testing.T) {
	var c calmer
	var said []string
	at := func(ms int, returned bool) {
		e := watch.Event{
			Kind: watch.EventKind(pull.EvAlarm), T: time.Duration(ms) * time.Millisecond,
			Text:  "warning: bar carries 1 lbf of 2 lbf allowed, and at this pace reaches that in 1.0 s: pump more slowly or stop",
			Alarm: &watch.AlarmEvent{Level: "warning", Limit: "bar", Ahead: true, Returned: returned},
		}
		for _, o := range c.over(e.T) {
			said = append(said, eventWords(o, si.US))
		}
		if c.heard(e) {
			said = append(said, eventWords(e, si.US))
		}
	}
	at(1000, false)
	at(1600, true)
	at(2000, false)
	at(2600, true)
	at(3000, false)
	at(3600, true)
	if len(said) != 1 || !strings.HasPrefix(said[0], "WARNING: bar carries") {
		t.Fatalf("within 3 s: %q", said)
	}
	if got := c.over(8500 * time.Millisecond); len(got) != 0 {
		t.Errorf("told too soon that it is over: %v", got)
	}
	at(9000, false)
	want := []string{said[0], "over: warning of bar near in time", said[0]}
	if !slices.Equal(said, want) {
		t.Errorf("said %q, want %q", said, want)
	}
}

// Where the limit itself is met, the end of its look-ahead says nothing.
func TestLookAheadThatIsMetEndsSilently(t *testing.T) {
	var c calmer
	alarm := func(at time.Duration, level string, ahead, returned bool) {
		e := watch.Event{Kind: watch.EventKind(pull.EvAlarm), T: at, Alarm: &watch.AlarmEvent{Level: level, Limit: "bar", Ahead: ahead, Returned: returned}}
		if got := c.heard(e); got != (!ahead || !returned) {
			t.Errorf("%s at %s: told %v", level, at, got)
		}
	}
	alarm(1*time.Second, "warning", true, false)
	alarm(2*time.Second, "stop", false, false)
	alarm(3*time.Second, "warning", true, true)
	if got := c.over(20 * time.Second); len(got) != 0 {
		t.Errorf("told %v", got)
	}
	alarm(21*time.Second, "warning", true, false) // and is told anew
}

// What a saved pull says orders nothing either where it is no alarm.
func TestPastOrdersNothing(t *testing.T) {
	for kind, c := range map[pull.EventKind][2]string{
		pull.EvZero:      {"no zero taken: the load began before 2 s of quiet; forces are by the sensor's own line: leave the rig unloaded for 2 s before the next pull", "no zero taken: the load began before 2 s of quiet; forces are by the sensor's own line"},
		pull.EvRemark:    {"held 1 lbf for 5 s, lowest 1 lbf: let off slowly", "remark: held 1 lbf for 5 s, lowest 1 lbf"},
		pull.EvWithdrawn: {"break withdrawn: the reading dropped out for 3 ms; look at the sensor's cable", "break withdrawn: the reading dropped out for 3 ms"},
	} {
		if got := pastWords(watch.Event{Kind: watch.EventKind(kind), Text: c[0]}, si.US); got != c[1] {
			t.Errorf("%s: %q, want %q", kind, got, c[1])
		}
	}
}

// Without a fixed time the state is told at a step of the load, at a new phase,
// every 5 s under load and every 30 s without.
func TestStateIsToldAsItChanges(t *testing.T) {
	snap := func(p pull.Phase, ratio float64, seen bool) *watch.Snapshot {
		return &watch.Snapshot{
			State:  pull.State{Phase: p, Seen: seen, Limits: []pull.Limit{{Name: "bar", Ratio: ratio}}},
			Source: watch.Source{Status: "live"},
		}
	}
	type moment struct {
		s    int
		snap *watch.Snapshot
		want bool
	}
	for name, c := range map[string]struct {
		o  often
		ms []moment
	}{
		"slack":  {often{}, []moment{{0, snap(pull.Slack, 0, true), true}, {1, snap(pull.Slack, 0.001, true), false}, {29, snap(pull.Slack, 0, true), false}, {30, snap(pull.Slack, 0, true), true}}},
		"phase":  {often{}, []moment{{0, snap(pull.Slack, 0, true), true}, {1, snap(pull.Loading, 0.01, true), true}, {2, snap(pull.Loading, 0.02, true), false}}},
		"load":   {often{}, []moment{{0, snap(pull.Loading, 0.2, true), true}, {1, snap(pull.Loading, 0.24, true), false}, {2, snap(pull.Loading, 0.26, true), true}, {6, snap(pull.Loading, 0.26, true), false}, {7, snap(pull.Loading, 0.26, true), true}}},
		"unseen": {often{}, []moment{{0, snap(pull.Loading, 0.2, true), true}, {1, snap(pull.Loading, 0.2, false), true}, {2, snap(pull.Loading, 0.9, false), false}, {8, snap(pull.Loading, 0.2, false), false}, {16, snap(pull.Loading, 0.2, false), true}}},
		"fixed":  {often{2 * time.Second, true}, []moment{{0, snap(pull.Slack, 0, true), true}, {1, snap(pull.Loading, 0.5, true), false}, {2, snap(pull.Loading, 0.5, true), true}}},
		"never":  {often{0, true}, []moment{{0, snap(pull.Slack, 0, true), false}, {60, snap(pull.Loading, 0.5, true), false}}},
	} {
		var p pacer
		begin := time.Unix(1000, 0)
		for _, m := range c.ms {
			if got := p.due(c.o, m.snap, begin.Add(time.Duration(m.s)*time.Second)); got != m.want {
				t.Errorf("%s at %d s: told %v, want %v", name, m.s, got, m.want)
			}
		}
	}
}

// Nothing that is over orders anything, and a saved pull orders nothing at all.
func TestNoOrderIsSpokenLate(t *testing.T) {
	orders := []string{"release the pressure", "pump more slowly", "stop pumping", "acknowledge", "be ready"}
	for _, one := range []struct {
		text string
		a    watch.AlarmEvent
		name string
	}{
		{"STOP: bar carries 2 lbf of 2 lbf allowed: release the pressure, then acknowledge", watch.AlarmEvent{Level: "stop", Limit: "bar", LoadN: 10, AllowableN: 9}, "STOP of bar"},
		{"warning: bar carries 2 lbf of 2 lbf allowed: be ready to stop pumping", watch.AlarmEvent{Level: "warning", Limit: "bar", LoadN: 8, AllowableN: 9}, "warning of bar"},
		{"warning: bar carries 2 lbf, and at this pace reaches that in 1 s: pump more slowly or stop", watch.AlarmEvent{Level: "warning", Limit: "bar", Ahead: true, LoadN: 8, AllowableN: 9}, "warning of bar near in time"},
		{"cannot see the force: stop pumping (the source went away); release the pressure before acknowledging", watch.AlarmEvent{Level: "stop", Blind: true}, `"cannot see the force"`},
	} {
		e := watch.Event{Kind: watch.EventKind(pull.EvAlarm), Text: one.text, Alarm: &one.a}
		past := pastWords(e, si.US)
		for _, o := range orders {
			if strings.Contains(past, o) {
				t.Errorf("of a saved pull: %q orders %q", past, o)
			}
		}
		one.a.Returned = true
		if got := eventWords(e, si.US); got != "over: "+one.name {
			t.Errorf("returned: %q", got)
		}
		one.a.Returned, one.a.Acknowledged = false, true
		if got := eventWords(e, si.US); got != "acknowledged: "+one.name {
			t.Errorf("acknowledged: %q", got)
		}
	}
}
