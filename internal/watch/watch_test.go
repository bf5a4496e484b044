package watch_test

import (
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

func exampleRig(t testing.TB) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func bar() specimen.Specimen {
	return specimen.Specimen{ID: "1", Melt: "M1", Diameters: []si.Length{12.5 * si.Millimetre}, Simulated: true}
}

func newWatch(t testing.TB, o watch.Options) *watch.Watch {
	t.Helper()
	w, err := watch.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// A listener that never returns, or panics, holds up no reading.
func TestListenerCannotHoldUpThePull(t *testing.T) {
	for name, listen := range map[string]func(hold <-chan struct{}){
		"stuck":  func(hold <-chan struct{}) { <-hold },
		"panics": func(<-chan struct{}) { panic("listener") },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := exampleRig(t)
				hold := make(chan struct{})
				defer close(hold) // once the pull is over
				w := newWatch(t, watch.Options{Feed: simulated(t, r, "", 2), Rig: r, Specimen: bar(), Shelf: t.TempDir(), Listen: func(watch.Event) { listen(hold) }})
				if res := w.Run(t.Context()); res.State.Outcome != pull.Broken || res.Save != nil {
					t.Errorf("outcome %q, save %v", res.State.Outcome, res.Save)
				}
			})
		})
	}
}

// Whoever is woken by an event finds what it is about in the snapshot.
func TestSnapshotBeforeEvent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := exampleRig(t)
		var w *watch.Watch
		alarms := 0
		ready := make(chan struct{})
		w = newWatch(t, watch.Options{
			Feed: simulated(t, r, "open", 3), Rig: r, Specimen: bar(), Shelf: t.TempDir(), For: 30 * time.Second,
			Listen: func(e watch.Event) {
				<-ready
				if e.Alarm == nil || e.Alarm.Returned || e.Alarm.Acknowledged {
					return
				}
				if alarms++; alarms == 1 && len(w.Snapshot().State.Alarms) == 0 {
					t.Error("the first alarm is told before it is in the snapshot")
				}
			},
		})
		close(ready)
		w.Run(t.Context())
		if alarms == 0 {
			t.Error("no alarm: the test shows nothing")
		}
	})
}

// No record can be made: New says so, and nothing is pulled.
func TestNoPlaceToRecord(t *testing.T) {
	_, err := watch.New(watch.Options{Feed: scripted(nil), Rig: exampleRig(t), Shelf: filepath.Join("watch_test.go", "shelf")})
	if err == nil {
		t.Fatal("a shelf below a file was taken")
	}
}
