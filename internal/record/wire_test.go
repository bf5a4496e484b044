package record

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/wire"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// whatTheDecoderTakes writes every good line of one column to a record, as a
// live pull does, and gives what the engine was told and what reads back.
func whatTheDecoderTakes(t rapid.TB, shelf string, text []byte) (live, replayed []pull.Reading) {
	dec, err := wire.NewDecoder(wire.Layout{Columns: []string{"raw"}})
	if err != nil {
		t.Fatal(err)
	}
	w, err := Options{FS: &troubled{now: trouble{noSync: true}}}.Create(shelf, simulatedHead())
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	dec.Decode(text, func(l *wire.Line) {
		n++
		if l.Kind != wire.Good {
			return
		}
		if bad := w.Append(ms(n), l.DevText, l.RawText, ""); bad > 0 {
			t.Errorf("Append recorded %d bad lines in place of the good %q", bad, l.RawText)
		}
		live = append(live, pull.Reading{T: ms(n), Raw: l.Raw})
	})
	if err := w.Close(Closing{}); err != nil {
		t.Fatal(err)
	}
	rec, err := Open(w.Dir())
	if err != nil {
		t.Fatal(err)
	}
	rs := rec.Readings()
	defer rs.Close()
	for rs.Next() {
		replayed = append(replayed, rs.Reading())
	}
	if rs.Err() != nil {
		t.Fatal(rs.Err())
	}
	_ = os.RemoveAll(w.Dir()) // the shelf goes with the test anyway
	return live, replayed
}

// What the decoder calls good is what a replay sees, whatever the number or
// the word: else a replay would end in another state than the live pull.
func TestGoodLinesReadBack(t *testing.T) {
	words := "812\n-0\n+.5\n5.\n1e5\n1e-400\n1e999\n-1E+3\n0x1p4\n1_0\ninfinity\n" +
		"nan\n-nan\n+NaN\nNAN\ninf\n-inf\n+Inf\novf\n-OVF\n+ovf\nOvF\n" +
		"12345678901234567890123456789012\n123456789012345678901234567890123\n" +
		"179769313486231570000000000000e2\n"
	live, replayed := whatTheDecoderTakes(t, t.TempDir(), []byte(words))
	if d := cmp.Diff(live, replayed, cmpopts.EquateNaNs()); d != "" {
		t.Errorf("live, replayed (-+):\n%s", d)
	}
	// By hand: all but 1e999, the hexadecimal, the underscore, the long word
	// and the 33 digits.
	if want := strings.Count(words, "\n") - 5; len(live) != want {
		t.Errorf("%d good lines, want %d", len(live), want)
	}
	faults := 0
	for _, r := range replayed {
		if math.IsNaN(r.Raw) {
			faults++
		}
	}
	if faults != 11 {
		t.Errorf("%d readings without a value, want the 11 words", faults)
	}

	shelf := t.TempDir()
	line := rapid.OneOf(
		rapid.StringMatching(`[+-]?[0-9]{0,20}\.?[0-9]{0,12}([eE][+-]?[0-9]{1,4})?`),
		rapid.StringMatching(`[+-]?[nN][aA][nN]|[+-]?[iI][nN][fF](inity)?|[+-]?[oO][vV][fF]`),
		rapid.StringMatching(`[0-9a-zA-Z+\-. _]{0,34}`),
	)
	rapid.Check(t, func(rt *rapid.T) {
		lines := rapid.SliceOfN(line, 1, 40).Draw(rt, "lines")
		live, replayed := whatTheDecoderTakes(rt, shelf, []byte(strings.Join(lines, "\n")+"\n"))
		if d := cmp.Diff(live, replayed, cmpopts.EquateNaNs()); d != "" {
			rt.Fatalf("live, replayed (-+):\n%s", d)
		}
	})
}

// Any bytes from a port: the same.
func FuzzGoodLinesReadBack(f *testing.F) {
	for _, s := range []string{"812\n", "-nan\r\novf\r\n", "1e999\n0x1p4\n", " 7 \n.5\n5.\n", "\x00\n1\n"} {
		f.Add([]byte(s))
	}
	shelf := f.TempDir()
	f.Fuzz(func(t *testing.T, text []byte) {
		live, replayed := whatTheDecoderTakes(t, shelf, bytes.Clone(text))
		if d := cmp.Diff(live, replayed, cmpopts.EquateNaNs()); d != "" {
			t.Fatalf("live, replayed (-+):\n%s", d)
		}
	})
}
