package pull

import (
	"reflect"
	"slices"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// A clone made at any reading goes on as the engine does, at the same time as it
// and without sharing anything with it: under -race two goroutines would tell.
func TestCloneGoesOnAlike(t *testing.T) {
	r := loopRig()
	rapid.Check(t, func(t *rapid.T) {
		all := drawSequence(t, r)
		e := New(drawConfig(t, r))
		at := rapid.IntRange(0, len(all)).Draw(t, "cloned at")
		for _, rd := range all[:at] {
			e.Step(rd)
		}
		c := e.Clone()
		if d := cmp.Diff(e.State().Clone(), c.State().Clone(), cmpopts.EquateNaNs(), cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("at reading %d (engine, clone):\n%s", at, d)
		}
		type out struct {
			states []State
			events []Event
		}
		run := func(e *Engine, to *out) {
			for _, rd := range all[at:] {
				to.events = append(to.events, slices.Clone(e.Step(rd))...)
				to.states = append(to.states, e.State().Clone())
			}
		}
		var a, b out
		var both sync.WaitGroup
		both.Go(func() { run(e, &a) })
		both.Go(func() { run(c, &b) })
		both.Wait()
		for i := range a.states {
			if !reflect.DeepEqual(a.states[i], b.states[i]) { // no NaN is ever in a state
				t.Fatalf("cloned at %d, %d readings later (engine, clone):\n%s", at, i, cmp.Diff(a.states[i], b.states[i]))
			}
		}
		if d := cmp.Diff(a.events, b.events, cmpopts.EquateNaNs()); d != "" {
			t.Fatalf("cloned at %d, told (engine, clone):\n%s", at, d)
		}
	})
}

// Clone copies the engine as a value and then what it points to. A field that
// points to something new must get a place in Clone, and its name here.
func TestCloneKnowsAllThatIsPointedTo(t *testing.T) {
	known := []string{
		"Engine.cfg.Rig", "Engine.cfg.LastZero", // read only
		"Engine.limits[].bound.Limit.Part", "Engine.limits[].bound.Limit.Modes", "Engine.limits[].bound.Limit.Proof", // of the rig, read only
		"Engine.limits", "Engine.events", "Engine.outLimits", "Engine.outAlarms",
	}
	var got []string
	var look func(ty reflect.Type, path string)
	look = func(ty reflect.Type, path string) {
		switch ty.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Map, reflect.Chan, reflect.Func, reflect.Interface, reflect.UnsafePointer:
			got = append(got, path)
			if path == "Engine.limits" { // its elements are copied as values
				look(ty.Elem(), path+"[]")
			}
		case reflect.Array:
			look(ty.Elem(), path+"[]")
		case reflect.Struct:
			for i := range ty.NumField() {
				look(ty.Field(i).Type, path+"."+ty.Field(i).Name)
			}
		}
	}
	look(reflect.TypeFor[Engine](), "Engine")
	slices.Sort(got)
	slices.Sort(known)
	if d := cmp.Diff(known, got); d != "" {
		t.Errorf("known to Clone, found (-+):\n%s", d)
	}
}

func BenchmarkClone(b *testing.B) {
	e := New(Config{Rig: loopRig()})
	b.ReportAllocs()
	for b.Loop() {
		e.Clone()
	}
}
