package record

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"draghand/internal/pull"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// A replay ends in the state in which an engine ends that was given the same
// readings while they were recorded, and shows each of them on the way.
func TestReplayIsTheLivePull(t *testing.T) {
	h := simulatedHead()
	h.LastZero = ptr(819.0)
	w, err := Create(t.TempDir(), h)
	must(t, err)
	live := pull.New(pull.Config{Kind: h.Kind, Rig: h.Rig, Area: h.Specimen.Area(), LastZero: h.LastZero})
	var given []pull.Reading
	give := func(r pull.Reading) { given = append(given, r); live.Step(r) }
	// 3 s at 100 Hz free of load, a rise to 40 times as much, and the fall.
	for i := range 900 {
		raw := 819.0
		if i >= 300 && i < 850 {
			raw += float64(i-300) * 2
		}
		at := ms(10 * i)
		if i == 500 {
			bad := w.Mark(at, pull.Bad, 3, "rubbish")
			give(pull.Reading{T: at, Mark: pull.Bad, Count: bad})
		}
		if i == 600 {
			if bad := w.Append(at, nil, []byte("ovf"), ""); bad != 0 {
				t.Fatal("a fault word was refused")
			}
			give(pull.Reading{T: at, Raw: math.NaN()})
			continue
		}
		w.Append(at, nil, fmt.Append(nil, raw), "")
		give(pull.Reading{T: at, Raw: raw})
	}
	w.Mark(ms(9000), pull.End, 0, "")
	give(pull.Reading{T: ms(9000), Mark: pull.End})
	want := live.State().Clone()
	must(t, w.Close(ClosingFrom(want, ByEnd)))

	rec, err := Open(w.Dir())
	must(t, err)
	var seen []pull.Reading
	got, err := rec.Replay(func(r pull.Reading, e *pull.Engine) bool {
		if e.State().T != r.T {
			t.Errorf("each is called before the step of %v", r.T)
		}
		seen = append(seen, r)
		return true
	})
	must(t, err)
	if d := cmp.Diff(want, got, cmpopts.EquateNaNs()); d != "" {
		t.Errorf("live, replayed (-+):\n%s", d)
	}
	if d := cmp.Diff(given, seen, cmpopts.EquateNaNs()); d != "" {
		t.Errorf("given, seen (-+):\n%s", d)
	}
	if got.Peak.Specimen <= 0 || got.BadLines != 3 || got.Faults == 0 || !got.Zero.Set {
		t.Errorf("the pull shows nothing: %+v", got)
	}
}

// Stopped by its caller, cut off, damaged: what the state then is.
func TestReplayEnds(t *testing.T) {
	dir := smallRecord(t, t.TempDir())
	open := func(dir string) *Record {
		rec, err := Open(dir)
		must(t, err)
		return rec
	}
	n := 0
	s, err := open(dir).Replay(func(pull.Reading, *pull.Engine) bool { n++; return n < 2 })
	if err != nil || n != 2 || s.T != ms(1) || s.Readings != 2 {
		t.Errorf("stopped after two: %d calls, state %+v, %v", n, s, err)
	}

	cut := copyRecord(t, dir)
	spoil(t, cut, SamplesFile, cutTo(50)) // within the third line
	spoil(t, cut, HeadFile, func(b []byte) []byte {
		h, err := decodeHead("", b)
		must(t, err)
		h.Closing = nil
		b, err = encodeHead(h)
		must(t, err)
		return b
	})
	s, err = open(cut).Replay(nil)
	if err != nil || s.Readings != 2 || s.Outcome != pull.Ended {
		t.Errorf("cut off: %+v, %v; want two readings and an ended pull, no error", s, err)
	}

	hurt := copyRecord(t, dir)
	spoil(t, hurt, SamplesFile, swap("2000,,,", "2000,,x,"))
	s, err = open(hurt).Replay(nil)
	if bad, ok := err.(*DamageError); !ok || bad.Line != 4 || s.Readings != 2 || s.BadLines != 0 {
		t.Errorf("damaged in line 4: %+v, %v", s, err)
	}

	must(t, os.Remove(filepath.Join(hurt, SamplesFile)))
	if s, err = open(hurt).Replay(nil); err == nil || s.Readings != 0 {
		t.Errorf("no samples: %+v, %v", s, err)
	}
}

// onShelf puts a record on a shelf: minute is when, zero its raw zero. change
// is made to its head before it is written.
func onShelf(t *testing.T, shelf string, minute int, zero float64, change func(*Head)) string {
	t.Helper()
	h := simulatedHead()
	h.Started = h.Started.Add(time.Duration(minute) * time.Minute)
	h.Format = formatOf(h)
	h.Closing = &Closing{Reason: ByPerson, Ended: h.Started, Zero: Zero{Set: true, Quality: "quiet", Raw: &zero}}
	change(&h)
	dir := filepath.Join(shelf, folderName(h))
	must(t, os.Mkdir(dir, 0o755))
	text, err := encodeHead(h)
	must(t, err)
	must(t, os.WriteFile(filepath.Join(dir, HeadFile), text, 0o644))
	return dir
}

// The zero of the newest pull that can say one; each row puts a newer record
// above one with the zero 819, and names the zero then found.
func TestLastZero(t *testing.T) {
	same := func(*Head) {}
	for name, c := range map[string]struct {
		newer func(t *testing.T, shelf string)
		want  float64
	}{
		"newest first": {func(t *testing.T, s string) { onShelf(t, s, 2, 830, same) }, 830},
		"older later on the shelf": {func(t *testing.T, s string) {
			onShelf(t, s, 2, 830, same)
			onShelf(t, s, -600, 840, same)
		}, 830},
		"another rig": {func(t *testing.T, s string) {
			onShelf(t, s, 2, 830, func(h *Head) { h.Rig.Name = "another" })
		}, 819},
		"a real pull": {func(t *testing.T, s string) {
			onShelf(t, s, 2, 830, func(h *Head) { h.Specimen.Simulated = false })
		}, 819},
		"never closed": {func(t *testing.T, s string) {
			onShelf(t, s, 2, 830, func(h *Head) { h.Closing = nil })
		}, 819},
		"no zero taken": {func(t *testing.T, s string) {
			onShelf(t, s, 2, 830, func(h *Head) { h.Closing.Zero = Zero{Quality: "none"} })
		}, 819},
		"a zero without a number": {func(t *testing.T, s string) {
			onShelf(t, s, 2, 830, func(h *Head) { h.Closing.Zero.Raw = nil })
		}, 819},
		"a newer format": {func(t *testing.T, s string) {
			onShelf(t, s, 2, 830, func(h *Head) { h.Format = Format + 1 })
		}, 819},
		"unreadable": {func(t *testing.T, s string) {
			spoil(t, onShelf(t, s, 2, 830, same), HeadFile, cutTo(50))
		}, 819},
		"no pull.json": {func(t *testing.T, s string) {
			must(t, os.Remove(filepath.Join(onShelf(t, s, 2, 830, same), HeadFile)))
		}, 819},
		"a file, no folder": {func(t *testing.T, s string) {
			must(t, os.WriteFile(filepath.Join(s, "zzz.txt"), nil, 0o644))
		}, 819},
		"other things sorted behind the names": {func(t *testing.T, s string) {
			for i := range 2 * lastZeroSearch {
				must(t, os.Mkdir(filepath.Join(s, fmt.Sprint("old records ", i)), 0o755))
			}
		}, 819},
	} {
		t.Run(name, func(t *testing.T) {
			shelf := t.TempDir()
			onShelf(t, shelf, 0, 819, same)
			c.newer(t, shelf)
			if got, ok := LastZero(shelf, "example", true); !ok || got != c.want {
				t.Errorf("LastZero = %v, %v, want %v", got, ok, c.want)
			}
		})
	}
	t.Run("none", func(t *testing.T) {
		shelf := t.TempDir()
		if raw, ok := LastZero(shelf, "example", true); ok {
			t.Errorf("an empty shelf gives %v", raw)
		}
		if raw, ok := LastZero(filepath.Join(shelf, "not there"), "example", true); ok {
			t.Errorf("no shelf gives %v", raw)
		}
		onShelf(t, shelf, 0, 819, same)
		if raw, ok := LastZero(shelf, "example", false); ok {
			t.Errorf("a simulated pull gives %v to a real one", raw)
		}
		if raw, ok := LastZero(shelf, "another", true); ok {
			t.Errorf("the rig gives %v to another", raw)
		}
	})
}
