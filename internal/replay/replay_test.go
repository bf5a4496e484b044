package replay

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// The state at any time, in any order of seeks, is that of a fresh engine fed up
// to there.
func TestStateAtAnyTime(t *testing.T) {
	dir, given := usual.write(t, t.TempDir())
	r := open(t, dir, Options{})
	through(t, r)
	rnd := rand.New(rand.NewPCG(7, 7))
	length := given[len(given)-1].T
	for i := range 60 {
		at := time.Duration(rnd.Int64N(int64(length) + 1))
		if i%7 == 0 { // on a reading
			at = at.Truncate(usual.every)
		}
		r.seekAnd(t, Transport{Do: SeekTo, To: at}, func(b Playback) bool { return b.At == at })
		got := r.Snapshot().State
		if d := cmp.Diff(fed(t, dir, given, at), got, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("at %v (fed, replayed):\n%s", at, d)
		}
	}
}

// Seeks wished for while the pass has only begun land where they are to.
func TestSeekBeforeItIsRead(t *testing.T) {
	dir, given := usual.write(t, t.TempDir())
	for _, at := range []time.Duration{0, 20 * time.Second, 59 * time.Second} {
		r := open(t, dir, Options{})
		r.seekAnd(t, Transport{Do: SeekTo, To: at}, func(b Playback) bool { return b.At == at })
		if d := cmp.Diff(fed(t, dir, given, at), r.Snapshot().State, cmpopts.EquateEmpty()); d != "" {
			t.Errorf("at %v (fed, replayed):\n%s", at, d)
		}
		r.Close()
	}
}

// Step by step, forth and back, is line by line of the record.
func TestSteps(t *testing.T) {
	dir, given := usual.write(t, t.TempDir())
	r := open(t, dir, Options{})
	b := through(t, r)
	if b.Line != len(given) || b.Lines != len(given) {
		t.Fatalf("at the end of %d lines: %+v", len(given), b)
	}
	line := b.Line
	for _, by := range []float64{-1, -1, 1, -700, 1, 1, -8000, 250, -1, -1e9, 3, 1e9, -2} {
		line = min(max(0, line+int(by)), len(given))
		b := r.seekAnd(t, Transport{Do: Step, By: by}, func(b Playback) bool { return b.Line == line })
		rec, err := record.Open(dir)
		must(t, err)
		e := pull.New(rec.Head.Config())
		at := time.Duration(0)
		for _, rd := range given[:line] {
			e.Step(rd)
			at = rd.T
		}
		if d := cmp.Diff(e.State().Clone(), r.Snapshot().State, cmpopts.EquateEmpty()); d != "" || b.At != at {
			t.Fatalf("behind line %d, at %v, want %v (fed, replayed):\n%s", line, b.At, at, d)
		}
	}
}

// The moments a person asks for are those the engine tells.
func TestMoments(t *testing.T) {
	dir, given := usual.write(t, t.TempDir())
	var alarms []time.Duration
	rec, err := record.Open(dir)
	must(t, err)
	e := pull.New(rec.Head.Config())
	for _, rd := range given {
		for _, ev := range e.Step(rd) {
			if ev.Kind == pull.EvAlarm && !ev.Alarm.Acked && !ev.Alarm.Returned {
				alarms = append(alarms, ev.T)
			}
		}
	}
	s := e.State().Clone()
	if len(alarms) < 3 || s.Break == nil {
		t.Fatalf("the pull shows nothing: %d alarms, %+v", len(alarms), s)
	}
	r := open(t, dir, Options{})
	b := through(t, r)
	if b.Peak != s.Peak.T || b.Break != s.Break.T || !cmp.Equal(b.Alarms, alarms) {
		t.Errorf("peak %v, break %v, alarms %v; want %v, %v, %v", b.Peak, b.Break, b.Alarms, s.Peak.T, s.Break.T, alarms)
	}
	for name, step := range map[string]struct {
		do TransportKind
		at time.Duration
	}{"peak": {SeekPeak, s.Peak.T}, "break": {SeekBreak, s.Break.T}, "start": {SeekStart, 0}, "end": {SeekEnd, s.T}} {
		if b := r.seekAnd(t, Transport{Do: step.do}, func(b Playback) bool { return b.At == step.at }); b.Playing {
			t.Errorf("%s: %+v", name, b)
		}
	}
	r.seekAnd(t, Transport{Do: SeekStart}, func(b Playback) bool { return b.At == 0 })
	for range 3 { // wishes in one breath add up
		r.Control(Transport{Do: SeekBy, To: 10 * time.Second})
	}
	r.seekAnd(t, Transport{Do: SeekBy, To: -time.Second}, func(b Playback) bool { return b.At == 29*time.Second })
	r.seekAnd(t, Transport{Do: SeekBy, To: -1 << 63}, func(b Playback) bool { return b.At == 0 })
	r.seekAnd(t, Transport{Do: SeekBy, To: 1<<63 - 1}, func(b Playback) bool { return b.At == b.Length })
	r.seekAnd(t, Transport{Do: SeekStart}, func(b Playback) bool { return b.At == 0 })
	last := time.Duration(-1)
	for _, at := range alarms {
		if at == last {
			continue
		}
		r.seekAnd(t, Transport{Do: SeekNextAlarm}, func(b Playback) bool { return b.At == at })
		last = at
	}
	r.seekAnd(t, Transport{Do: SeekNextAlarm}, func(b Playback) bool { return strings.Contains(b.Note, "first alarm again") && b.At == alarms[0] })
}

// Playing goes with the time and the speed, from a little before the load where
// it began at the end, and stops at the end.
func TestPlay(t *testing.T) {
	dir, _ := usual.write(t, t.TempDir())
	synctest.Test(t, func(t *testing.T) {
		r := open(t, dir, Options{})
		for b := r.Playback(); b.Lines == 0 || b.Seeking; b = r.Playback() {
			time.Sleep(time.Millisecond) // of the bubble
		}
		loaded := r.Snapshot().State.LoadedAt
		r.Control(Transport{Do: PlayPause})
		synctest.Wait()
		if b := r.Playback(); !b.Playing || b.At != loaded-time.Second || b.Speed != 1 {
			t.Errorf("at first %+v, loaded at %v", b, loaded)
		}
		near := func(what string, want time.Duration) {
			t.Helper()
			synctest.Wait()
			if b := r.Playback(); b.At < want-100*time.Millisecond || b.At > want+100*time.Millisecond {
				t.Errorf("%s at %v, want %v", what, b.At, want)
			}
		}
		begin := r.Playback().At
		time.Sleep(10 * time.Second)
		near("10 s later", begin+10*time.Second)
		if s := r.Snapshot(); s.Closed || s.State.T > s.Now || s.Now-s.State.T > 2*usual.every {
			t.Errorf("state of %v at %v", s.State.T, s.Now)
		}
		r.Control(Transport{Do: Faster, By: 2})
		time.Sleep(5 * time.Second)
		near("5 s later at double speed", begin+20*time.Second)
		r.Control(Transport{Do: PlayPause})
		time.Sleep(time.Hour)
		near("paused", begin+20*time.Second)
		r.Control(Transport{Do: PlayPause})
		r.Control(Transport{Do: Faster, By: 1e9})
		time.Sleep(time.Second)
		synctest.Wait()
		if b := r.Playback(); b.Playing || b.At != b.Length || b.Speed != 100 || !r.Snapshot().Closed {
			t.Errorf("at the end %+v", b)
		}
		r.Control(Transport{Do: Faster, By: 1e-9})
		synctest.Wait()
		if b := r.Playback(); b.Speed != 0.1 {
			t.Errorf("slowest %+v", b)
		}
		r.Close()
	})
}

// The first snapshot is that of the closing, and says what the engine says once
// it is through, but for what pull.json does not keep.
func TestFirstSnapshotIsTheClosing(t *testing.T) {
	dir, given := usual.write(t, t.TempDir())
	rec, err := record.Open(dir)
	must(t, err)
	want := fed(t, dir, given, time.Hour)
	got := closingState(rec.Head, rec.LastReadings())
	kept := cmp.Options{
		cmpopts.IgnoreFields(pull.State{}, "Unseen"), cmpopts.IgnoreFields(pull.Strokes{}, "Giving", "GivingAt"),
		cmpopts.IgnoreFields(pull.Zero{}, "Refused"),
		cmpopts.EquateEmpty(), cmpopts.EquateApprox(1e-9, 1e-9),
		// pull.json has whole microseconds.
		cmp.Comparer(func(a, b time.Duration) bool { return (a - b).Abs() <= time.Microsecond }),
	}
	if d := cmp.Diff(want, got, kept...); d != "" {
		t.Errorf("of the engine, of the closing:\n%s", d)
	}
	if len(want.Alarms) == 0 && want.Break == nil || want.Live.T == 0 {
		t.Errorf("the pull shows nothing: %+v", want)
	}
}

// Before the pass is through the trace is that of the overview, then that of the
// readings; both hold the peak.
func TestTrace(t *testing.T) {
	dir, given := usual.write(t, t.TempDir())
	top := fed(t, dir, given, time.Hour)
	highest := func(tr *watch.Trace) (f float64) {
		for _, c := range tr.Columns {
			if !c.Empty() {
				f = max(f, float64(c.Max))
			}
		}
		return f
	}
	rec, err := record.Open(dir)
	must(t, err)
	r := &Replay{rec: rec, head: rec.Head, pass: pass{peak: -1, brk: -1}}
	r.begin()
	var tr watch.Trace
	r.Trace(&tr, 0, r.length)
	if f := highest(&tr); f < 0.999*float64(top.PeakRaw.Specimen) || f > 1.001*float64(top.PeakRaw.Specimen) {
		t.Errorf("highest of the overview %.0f N, want %v", f, top.PeakRaw.Specimen)
	}
	full := open(t, dir, Options{})
	through(t, full)
	full.Trace(&tr, 0, full.length)
	if f := highest(&tr); float32(f) != float32(top.PeakRaw.Specimen) {
		t.Errorf("highest of the readings %v N, want %v", f, top.PeakRaw.Specimen)
	}
	at := 30 * time.Second
	full.seekAnd(t, Transport{Do: SeekTo, To: at}, func(b Playback) bool { return b.At == at })
	full.Trace(&tr, at-10*time.Second, at)
	if tr.Bin > 4*time.Millisecond || tr.From+time.Duration(len(tr.Columns))*tr.Bin < at-time.Second {
		t.Errorf("the last 10 s in columns of %v, to %v", tr.Bin, tr.From+time.Duration(len(tr.Columns))*tr.Bin)
	}
}

// Another rig: its numbers alone, from the first frame on.
func TestAnotherRig(t *testing.T) {
	dir, given := usual.write(t, t.TempDir())
	half := exampleRig(t)
	half.Path.Kind, half.Path.Share = rig.Fixed, 0.25
	rec, err := record.Open(dir)
	must(t, err)
	head := rec.Head
	head.Rig = half
	r := &Replay{rec: rec, head: head, opt: Options{Rig: half, RigFile: "half.toml"}, pass: pass{peak: -1, brk: -1}}
	r.player = player{pending: true, want: target{kind: toEnd}}
	r.begin()
	s, b := r.Snapshot(), r.Playback()
	if s.State.Peak != (pull.Point{}) || s.State.Break != nil || b.Peak >= 0 || b.Break >= 0 || b.Rig != "half.toml" || !b.Seeking || r.sketched {
		t.Errorf("first: %+v %+v", s.State, b)
	}
	full := open(t, dir, Options{Rig: half, RigFile: "half.toml"})
	through(t, full)
	e := pull.New(head.Config())
	for _, rd := range given {
		e.Step(rd)
	}
	if d := cmp.Diff(e.State().Clone(), full.Snapshot().State, cmpopts.EquateEmpty()); d != "" {
		t.Errorf("at the end (fed, replayed):\n%s", d)
	}
}

// A damaged record goes up to the damage and says so; one that was cut off goes
// to its end; one that is being written is refused.
func TestBrokenRecords(t *testing.T) {
	dir, given := usual.write(t, t.TempDir())
	path := filepath.Join(dir, record.SamplesFile)
	text, err := os.ReadFile(path)
	must(t, err)
	lines := strings.SplitAfter(string(text), "\n")
	hurt := strings.Join(lines[:5001], "") + "rubbish\n" + strings.Join(lines[5002:], "")
	must(t, os.WriteFile(path, []byte(hurt), 0o644))
	r := open(t, dir, Options{})
	b := through(t, r)
	if b.Lines != 5001 || b.Length != given[4999].T || !strings.Contains(b.Err, "damaged at byte") {
		t.Errorf("damaged: %+v", b)
	}
	if s := r.Snapshot().State; s.Readings != 5000 || s.Outcome != pull.Ended {
		t.Errorf("state %+v", s)
	}

	cut := usual
	cut.unended = true
	dir, given = cut.write(t, t.TempDir())
	r = open(t, dir, Options{})
	b = through(t, r)
	if !b.Unfinished || b.Err != "" || b.Lines != len(given)+1 || b.Length != given[len(given)-1].T {
		t.Errorf("cut off: %+v", b)
	}
	rec, err := record.Open(dir)
	must(t, err)
	want, err := rec.Replay(nil)
	must(t, err)
	if d := cmp.Diff(want, r.Snapshot().State, cmpopts.EquateEmpty()); d != "" {
		t.Errorf("cut off (record.Replay, replay):\n%s", d)
	}

	w, err := record.Create(t.TempDir(), rec.Head)
	must(t, err)
	if _, err := Open(w.Dir(), Options{}); !errors.Is(err, ErrWriting) {
		t.Errorf("being written: %v", err)
	}
	must(t, w.Close(record.Closing{}))
	if _, err := Open(t.TempDir(), Options{}); !errors.Is(err, record.ErrForeign) {
		t.Errorf("no record: %v", err)
	}

	// Closed with nothing in it.
	w, err = record.Create(t.TempDir(), rec.Head)
	must(t, err)
	must(t, w.Close(record.ClosingFrom(pull.State{}, record.BySignal)))
	r = open(t, w.Dir(), Options{})
	if b := through(t, r); b.Length != 0 || b.Lines != 1 {
		t.Errorf("empty: %+v", b)
	}
	for _, do := range []TransportKind{PlayPause, Step, SeekPeak, SeekBreak, SeekNextAlarm, SeekStart, SeekEnd} {
		r.Control(Transport{Do: do, By: -1})
	}
	r.seekAnd(t, Transport{Do: SeekBreak}, func(b Playback) bool { return b.Note == "no break was seen" })
}
