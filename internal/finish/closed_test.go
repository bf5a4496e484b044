package finish

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/specimen"
	"draghand/internal/strength"

	"github.com/google/go-cmp/cmp"
)

// justClosed is a closed record with the state and the remarks its pull ended in.
func justClosed(t testing.TB) (rec *record.Record, closed func() (strength.Results, error)) {
	t.Helper()
	rec, s, told := pulledAndClosed(t)
	return rec, func() (strength.Results, error) { return Closed(&rec.Head, rec.Dir, s, told) }
}

func pulledAndClosed(t testing.TB) (*record.Record, pull.State, strength.Remarks) {
	t.Helper()
	rec := open(t, pulled(t))
	var told strength.Remarks
	s, damage := rec.ReplayLines(func(l record.Line) bool {
		told.Add(l.Events)
		return true
	})
	if damage != nil {
		t.Fatal(damage)
	}
	return rec, s, told
}

// What is kept at closing is what comes of the record when it is recomputed, and
// nothing else of it is touched.
func TestClosedKeepsTheResults(t *testing.T) {
	rec, closed := justClosed(t)
	samples := read(t, rec.Dir, record.SamplesFile)
	got, err := closed()
	if err != nil {
		t.Fatal(err)
	}
	now := open(t, rec.Dir)
	want, damage := Results(now)
	if damage != nil {
		t.Fatal(damage)
	}
	if d := cmp.Diff(shown(t, want), shown(t, got)); d != "" {
		t.Errorf("recomputed, and at closing (-want +got):\n%s", d)
	}
	var kept, fresh any
	must := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	must(json.Unmarshal(now.Head.Results, &kept))
	must(json.Unmarshal([]byte(shown(t, want)), &fresh))
	if d := cmp.Diff(fresh, kept); d != "" {
		t.Errorf("what stands in the record (-want +got):\n%s", d)
	}
	if got.StrengthExpandedPa == nil {
		t.Error("no uncertainty")
	}
	if got.Counts != nil {
		t.Errorf("it counts %q though nobody said where it broke", *got.Counts)
	}
	if len(now.Head.Finished) != 0 {
		t.Error("it was finished by nobody")
	}
	now.Head.Results = nil
	if d := cmp.Diff(rec.Head, now.Head); d != "" {
		t.Errorf("the rest of the head (-before +after):\n%s", d)
	}
	if d := cmp.Diff(samples, read(t, rec.Dir, record.SamplesFile)); d != "" {
		t.Error("the readings were touched")
	}
	if r := record.Check(rec.Dir); r.Status != record.Whole {
		t.Errorf("%+v", r)
	}
	if _, err := Save(rec.Dir, broke()); err != nil {
		t.Errorf("finishing it: %v", err)
	}
}

// What a person put into the record meanwhile stays as it is, and so does one whose
// results cannot be kept: they are given all the same.
func TestClosedCostsNothing(t *testing.T) {
	for name, c := range map[string]struct {
		before func(t *testing.T, dir string)
		err    error
	}{
		"finished": {before: func(t *testing.T, dir string) {
			if _, err := Save(dir, record.Finished{After: specimen.After{Where: specimen.InGrip}}); err != nil {
				t.Fatal(err)
			}
		}},
		"locked": {before: func(t *testing.T, dir string) {
			unlock, err := record.Lock(dir)
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { _ = unlock() })
		}, err: record.ErrBusy},
		"gone": {before: func(t *testing.T, dir string) {
			if err := os.Remove(filepath.Join(dir, record.HeadFile)); err != nil {
				t.Fatal(err)
			}
		}, err: os.ErrNotExist},
	} {
		t.Run(name, func(t *testing.T) {
			rec, closed := justClosed(t)
			c.before(t, rec.Dir)
			before, _ := os.ReadFile(filepath.Join(rec.Dir, record.HeadFile))
			got, err := closed()
			if !errors.Is(err, c.err) {
				t.Errorf("%v, want %v", err, c.err)
			}
			if got.StrengthExpandedPa == nil {
				t.Errorf("no results: %+v", got)
			}
			after, _ := os.ReadFile(filepath.Join(rec.Dir, record.HeadFile))
			if string(before) != string(after) {
				t.Errorf("the head was changed:\n%s", after)
			}
		})
	}
}

// A disk that hangs, wherever it does, holds up nobody: the results are given from
// what is in memory. A record that was opened too late is left as it was.
func TestClosedOnAHangingDisk(t *testing.T) {
	for _, name := range []string{"opening", "keeping"} {
		t.Run(name, func(t *testing.T) {
			rec, s, told := pulledAndClosed(t)
			before := read(t, rec.Dir, record.HeadFile)
			hang, over := make(chan struct{}), make(chan struct{})
			var wrote atomic.Bool
			d := shelfDisk{within: 10 * time.Millisecond, open: func(string) (*record.Record, error) {
				defer close(over)
				<-hang
				return rec, nil
			}, keep: func(*record.Record, json.RawMessage) error {
				wrote.Store(true)
				return nil
			}}
			if name == "keeping" {
				d.open = func(string) (*record.Record, error) { close(over); return rec, nil }
				d.keep = func(*record.Record, json.RawMessage) error { <-hang; return nil }
			}
			type answer struct {
				out strength.Results
				err error
			}
			answered := make(chan answer, 1)
			go func() {
				out, err := closedOn(d, &rec.Head, rec.Dir, s, told)
				answered <- answer{out, err}
			}()
			select {
			case a := <-answered:
				if !errors.Is(a.err, record.ErrNoAnswer) {
					t.Errorf("%v, want that the disk does not answer", a.err)
				}
				if want, _ := Results(rec); shown(t, want) != shown(t, a.out) {
					t.Errorf("results from memory (-want +got):\n%s", cmp.Diff(shown(t, want), shown(t, a.out)))
				}
			case <-time.After(time.Minute): // a hang is for ever
				t.Error("it waits for the disk")
			}
			close(hang)
			<-over
			if wrote.Load() || string(before) != string(read(t, rec.Dir, record.HeadFile)) {
				t.Error("the record was written after it was said that it was not")
			}
		})
	}
}
