package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"

	"github.com/google/go-cmp/cmp"
)

// measured fills every field. The example's bar has 12.5 mm and no gauge length.
func measured(at time.Time) Finished {
	p, e := 300*si.Bar, 3*si.Bar
	pa, ea := si.Pressure(p), si.Pressure(e)
	return Finished{
		At: at,
		After: specimen.After{
			Diameters: []si.Length{9.81 * si.Millimetre, 9.79 * si.Millimetre}, Where: specimen.MidGauge,
			Looks: []specimen.Look{specimen.Flat, specimen.Porous}, Failed: "upper <pin>", Photos: []string{"a.jpg"},
			Minimum: 275e6, MinimumFrom: "the drawing",
		},
		Dial: &Dial{Pressure: &pa, PressureError: &ea},
	}
}

// some are results of a kind, as what is written needs no more than JSON.
func some(text string) func(*Record) (json.RawMessage, error) {
	return func(*Record) (json.RawMessage, error) { return json.RawMessage(text), nil }
}

// Measurements join a closed and an unfinished record. The earlier stay, the
// results are those of the newest; without either, pull.json is what it was, byte
// for byte, and the readings are not touched.
func TestFinish(t *testing.T) {
	at := time.Date(2026, 11, 25, 16, 0, 1, 0, time.FixedZone("", 3600))
	for name, status := range map[string]Status{example: Whole, cutOff: Unfinished} {
		t.Run(name, func(t *testing.T) {
			dir := copied(t, name)
			before := headText(t, dir)
			samples, err := os.ReadFile(filepath.Join(dir, SamplesFile))
			must(t, err)
			first, second := measured(at), measured(at.Add(time.Hour))
			second.Diameters, second.Dial = nil, nil
			must(t, finish(OS{}, dir, first, nil, some(`{"strength_pa": 1}`)))
			must(t, addRemark(OS{}, dir, "between the two", at))
			said, err := NewSaid("and with the second", at)
			must(t, err)
			must(t, finish(OS{}, dir, second, []Said{said}, func(r *Record) (json.RawMessage, error) {
				if m := r.Head.Measured(); m == nil || m.Diameters != nil || len(r.Head.Finished) != 2 || len(r.Head.Said) != 2 {
					t.Errorf("results are asked for of %+v", r.Head.Finished)
				}
				return json.RawMessage(`{"strength_pa": 2.50, "note": "<&>"}`), nil
			}))

			rec, err := Open(dir)
			must(t, err)
			first.At, second.At = first.At.UTC(), second.At.UTC()
			if d := cmp.Diff([]Finished{first, second}, rec.Head.Finished); d != "" {
				t.Error(d)
			}
			after := headText(t, dir)
			if !bytes.Contains(after, []byte(`"strength_pa": 2.50,`)) || bytes.Contains(after, []byte(`"strength_pa": 1`)) || !bytes.Contains(after, []byte(`"<&>"`)) {
				t.Errorf("results: %s", rec.Head.Results)
			}
			anew, err := encodeHead(rec.Head)
			must(t, err)
			if !bytes.Equal(anew, after) {
				t.Errorf("pull.json is laid out otherwise than the writer does:\n%s", cmp.Diff(string(anew), string(after)))
			}
			rec.Head.Finished, rec.Head.Results, rec.Head.Said = nil, nil, nil
			anew, err = encodeHead(rec.Head)
			must(t, err)
			if !bytes.Equal(anew, before) {
				t.Errorf("something else changed:\n%s", cmp.Diff(string(before), string(anew)))
			}
			if now, _ := os.ReadFile(filepath.Join(dir, SamplesFile)); !bytes.Equal(now, samples) {
				t.Error("samples.csv was touched")
			}
			if r := Check(dir); r.Status != status || r.Writing {
				t.Errorf("check: %s", r.Text())
			}
			for _, strict := range []bool{false, true} {
				if err := validate(t, compile(t, strict), after); err != nil {
					t.Errorf("schema (strict %v): %v", strict, err)
				}
			}
		})
	}
}

// What a later program put in stays, also within the earlier measurements, and a
// record with words this program does not know is read.
func TestFinishKeepsWhatItDoesNotKnow(t *testing.T) {
	dir := copied(t, example)
	spoil(t, dir, HeadFile, func(b []byte) []byte {
		return bytes.Replace(b, []byte(`"format": 1,`), []byte(`"format": 1, "later": {"z": 1.2345678901234567890},
			"finished": [{"at": "2026-11-26T00:00:00Z", "where": "sideways", "looks": ["odd"], "bend": {"y": 9.8765432109876543210}}],`), 1)
	})
	rec, err := Open(dir)
	must(t, err)
	if m := rec.Head.Measured(); m == nil || m.Where != "sideways" {
		t.Errorf("read: %+v", m)
	}
	must(t, Finish(dir, measured(time.Now()), nil, some("{}")))
	text := string(headText(t, dir))
	for _, want := range []string{`"z": 1.2345678901234567890`, `"y": 9.8765432109876543210`, `"where": "sideways"`, `"where": "middle"`} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is gone:\n%.900s", want, text)
		}
	}
}

// What cannot be is refused with every reason, and pull.json stays as it was to
// the byte.
func TestFinishRefused(t *testing.T) {
	for name, c := range map[string]struct {
		change  func(*Finished)
		results func(*Record) (json.RawMessage, error)
		is      error
		why     string
	}{
		"larger":          {func(f *Finished) { f.Diameters[0] = 13e-3 }, some("{}"), ErrFinished, "above the first"},
		"no gauge before": {func(f *Finished) { f.GaugeLength = 58e-3 }, some("{}"), ErrFinished, "none was marked"},
		"unknown word":    {func(f *Finished) { f.Where = "left" }, some("{}"), ErrFinished, "no place of a break"},
		"dial, both":      {func(f *Finished) { n := si.Force(1); f.Dial.Force = &n }, some("{}"), ErrFinished, "one of the two"},
		"dial, none":      {func(f *Finished) { f.Dial = &Dial{} }, some("{}"), ErrFinished, "one of the two"},
		"dial, past":      {func(f *Finished) { *f.Dial.Pressure = 9e9 }, some("{}"), ErrFinished, "past its range"},
		"dial, outcome":   {func(f *Finished) { f.Dial.Outcome = pull.Broken }, some("{}"), ErrFinished, "tells no outcome"},
		"no results":      {func(*Finished) {}, func(*Record) (json.RawMessage, error) { return nil, errTest }, errTest, ""},
		"no JSON":         {func(*Finished) {}, some("{"), nil, "no JSON"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := copied(t, example)
			before := headText(t, dir)
			f := measured(time.Now())
			c.change(&f)
			err := Finish(dir, f, nil, c.results)
			if err == nil || (c.is != nil && !errors.Is(err, c.is)) || !strings.Contains(err.Error(), c.why) {
				t.Errorf("%v", err)
			}
			if !bytes.Equal(headText(t, dir), before) {
				t.Error("pull.json changed")
			}
		})
	}
}

var errTest = errors.New("made up")

func TestFinishBusyFullForeign(t *testing.T) {
	dir := copied(t, example)
	before := headText(t, dir)
	unlock, err := Lock(dir)
	must(t, err)
	if err := Finish(dir, measured(time.Now()), nil, some("{}")); !errors.Is(err, ErrBusy) {
		t.Errorf("while it is recorded: %v", err)
	}
	must(t, unlock())
	if !bytes.Equal(headText(t, dir), before) {
		t.Error("a refused Finish changed pull.json")
	}
	for range MaxFinished {
		must(t, Finish(dir, measured(time.Now()), nil, some("{}")))
	}
	if err := Finish(dir, measured(time.Now()), nil, some("{}")); !errors.Is(err, ErrFinished) {
		t.Errorf("one more than fit: %v", err)
	}
	elsewhere := t.TempDir()
	if err := Finish(elsewhere, measured(time.Now()), nil, some("{}")); !errors.Is(err, ErrForeign) {
		t.Errorf("no record: %v", err)
	}
	if left, _ := os.ReadDir(elsewhere); len(left) != 0 {
		t.Errorf("left in a foreign folder: %v", left)
	}
}

// A pull read by eye has no transducer to hold a second dial against.
func TestFinishByEye(t *testing.T) {
	h := simulatedHead()
	p := 200 * si.Bar
	pa := si.Pressure(p)
	h.Dial = &Dial{Pressure: &pa, Outcome: pull.Broken}
	f := measured(time.Now())
	if err := f.Fits(&h); !errors.Is(err, ErrFinished) || !strings.Contains(err.Error(), "read off a dial") {
		t.Errorf("%v", err)
	}
}

// Whatever else stands in pull.json, each of its fields has the same text after
// Finish, but for blanks.
func FuzzWithField(f *testing.F) {
	f.Add(`{"a": 1.50, "closing": {"x": "<&>"}}`)
	f.Add(`{"finished": [], "b": null, "results": 3}`)
	f.Add(`{}`)
	f.Add(`null`)
	f.Fuzz(func(t *testing.T, text string) {
		fields := func(text []byte) map[string]string {
			var in map[string]json.RawMessage
			if json.Unmarshal(text, &in) != nil || in == nil { // null is no object
				return nil
			}
			out := map[string]string{}
			for k, v := range in {
				var b bytes.Buffer
				must(t, json.Compact(&b, v))
				out[k] = b.String()
			}
			return out
		}
		before := fields([]byte(text))
		out, err := withField([]byte(text), "finished", []byte(`[7]`), "results", "closing")
		if err != nil {
			if before != nil {
				t.Fatalf("%q: %v", text, err)
			}
			return
		}
		after := fields(out)
		if before == nil || after["finished"] != "[7]" {
			t.Fatalf("%q: %s", text, out)
		}
		before["finished"] = "[7]"
		if d := cmp.Diff(before, after); d != "" {
			t.Fatalf("%q: %s", text, d)
		}
	})
}

// A disk that fails in the last step, or a record that is full of remarks, loses
// nothing: pull.json is as it was, and no half-written file lies beside it.
func TestFinishFails(t *testing.T) {
	dir := copied(t, example)
	before := headText(t, dir)
	fails := &troubled{now: trouble{headErr: syscall.ENOSPC}}
	if err := finish(fails, dir, measured(time.Now()), nil, some("{}")); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("%v", err)
	}
	said := make([]Said, MaxSaidEach+1)
	if err := Finish(dir, measured(time.Now()), said, some("{}")); !errors.Is(err, ErrRemark) {
		t.Errorf("too many remarks: %v", err)
	}
	if !bytes.Equal(headText(t, dir), before) {
		t.Error("pull.json changed")
	}
	left, err := filepath.Glob(filepath.Join(dir, "*.tmp"))
	if must(t, err); len(left) != 0 {
		t.Errorf("left: %v", left)
	}
	must(t, Finish(dir, measured(time.Now()), nil, some("{}")))
}
