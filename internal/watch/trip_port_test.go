package watch_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/pull"
	"draghand/internal/watch"
)

// A port that does not answer holds up nothing: readings are judged, it is told
// and shown, and the pull ends; the line is dropped when the port answers.
func TestTripPortThatIsStuck(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := startTrip(t, watch.BoardTime, nil)
		stuck := make(chan struct{})
		r.lamp.mu.Lock()
		r.lamp.hold = func(ok bool) error {
			if ok {
				<-stuck
			}
			return nil
		}
		r.lamp.mu.Unlock()
		r.board.read(atRest, 600)
		r.hear(t, "TRIP LINE FAILED, count on nothing it shows: the port has not answered for 100ms")
		until(t, "failed line in the snapshot", func() bool { return strings.HasPrefix(r.Snapshot().Trip, "failed: the port has not answered") })
		from := time.Now()
		r.board.read(loaded, 2000)
		until(t, "readings", func() bool { return r.Snapshot().State.Readings >= 2600 })
		if took := time.Since(from); took > time.Second {
			t.Errorf("2,000 readings took %v beside a stuck port", took)
		}
		r.Do(watch.EndPull)
		if res := r.ended(t); res.Save != nil {
			t.Error(res.Save)
		}
		if s := r.Snapshot().Trip; !strings.HasPrefix(s, "failed: ") {
			t.Errorf("the snapshot says %q", s)
		}
		close(stuck)
		until(t, "drop after all", func() bool { return !r.lamp.held() })
	})
}

// A line that fails is told once, tried again, and told when it works again.
func TestTripPortThatFails(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := startTrip(t, watch.BoardTime, nil)
		gone := errors.New("trip line, RTS of \"/dev/ttyUSB1\": input/output error")
		r.board.read(atRest, 600)
		r.wantHeld(t, "readings come", true)
		r.lamp.mu.Lock()
		r.lamp.hold = func(bool) error { return gone }
		r.lamp.mu.Unlock()
		r.hear(t, "TRIP LINE FAILED, count on nothing it shows: "+gone.Error()) // nothing changed: it is looked at every second
		until(t, "failed line in the snapshot", func() bool { return r.Snapshot().Trip == "failed: "+gone.Error() })
		r.lamp.mu.Lock()
		tries := len(r.lamp.calls)
		r.lamp.mu.Unlock()
		until(t, "second try", func() bool {
			r.lamp.mu.Lock()
			defer r.lamp.mu.Unlock()
			return len(r.lamp.calls) > tries
		})
		r.lamp.mu.Lock()
		r.lamp.hold = nil
		r.lamp.mu.Unlock()
		r.hear(t, "trip line works again: held")
		r.wantHeld(t, "it works again", true)
		r.Do(watch.EndPull)
		r.ended(t)
		for len(r.told) > 0 {
			if e := <-r.told; strings.Contains(e.Text, "FAILED") {
				t.Errorf("told again: %q", e.Text)
			}
		}
	})
}

// A pull that is stuck itself sees no force: the line is dropped meanwhile.
func TestTripDropsWhenThePullIsStuck(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		stuck := make(chan struct{})
		r := startTrip(t, watch.BoardTime, func(o *watch.Options) {
			o.Judged = func(n int64) {
				if n == 601 {
					<-stuck
				}
			}
		})
		r.board.read(atRest, 600)
		r.wantHeld(t, "readings come", true)
		from := time.Now()
		r.board.read(atRest, 1)
		until(t, "drop", func() bool { return !r.lamp.held() })
		t.Logf("dropped %v after the pull stood still", time.Since(from).Round(time.Millisecond))
		r.hear(t, "trip line dropped: nothing was heard of the pull for 1s")
		close(stuck)
		r.wantHeld(t, "the pull goes on", true)
		r.Do(watch.EndPull)
		r.ended(t)
	})
}

// From the reading that makes a stop certain to the call that drops the line,
// 300 stops. Goal: p99 ≤ 5 ms. Only a gross miss fails: the machine is shared.
func TestAlarmToTripLine(t *testing.T) {
	const stops = 300
	r := startTrip(t, watch.BoardTime, nil)
	r.board.read(atRest, 600)
	r.board.read(loaded, 200)
	delays := make([]time.Duration, 0, stops)
	for range stops {
		r.wantHeld(t, "loaded", true)
		seen := len(r.lamp.changes())
		r.board.read(overStop, 1)
		over := time.Now()
		r.board.read(overStop, 1) // two in a row
		until(t, "drop", func() bool { return len(r.lamp.changes()) > seen })
		// A machine that stood still for a second has the line dropped for that too: the
		// alarm must stand before it is acknowledged.
		until(t, "stop", func() bool {
			return slices.ContainsFunc(r.Snapshot().State.Alarms, func(a pull.Alarm) bool { return a.Level == pull.Stop && !a.Acked && !a.Returned })
		})
		delays = append(delays, r.lamp.changes()[seen].at.Sub(over))
		r.Do(watch.AckAlarms)
		r.board.read(loaded, 130)
	}
	r.Do(watch.EndPull)
	r.ended(t)
	slices.Sort(delays)
	p99 := delays[stops*99/100-1]
	t.Logf("second reading over the limit to the call on the trip line, %d stops: p50 %v, p99 %v, max %v (goal p99 5 ms)",
		stops, delays[stops/2-1], p99, delays[stops-1])
	if p99 > 100*time.Millisecond {
		t.Errorf("p99 = %v", p99)
	}
}
