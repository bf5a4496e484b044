package record

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// FuzzRecover: wherever a record was cut off and whatever lies behind, it is closed by
// the state its readings gave before, or refused with nothing changed; what was intact
// is whole then, what was damaged stays so, and samples.csv is the same.
func FuzzRecover(f *testing.F) {
	whole, err := os.ReadFile(filepath.Join(fixtures, cutOff, SamplesFile))
	must(f, err)
	for _, s := range []struct {
		cut  uint16
		tail string
	}{
		{0, ""},
		{20, ""},
		{700, "x"},
		{879, "\n"},
		{860, "400000,,820,\n"},
		{300, "400000,,820,\n"},
		{860, "400000,,,end\n"},
		{860, "1,,820,\n"},
		{860, string(make([]byte, 1100))},
		{861, "\n\n"},
		{10, "zzz"},
		{860, "400000,,,\"bad=2 a\"\"b\"\n"},
	} {
		f.Add(s.cut, []byte(s.tail))
	}
	dir := f.TempDir()
	must(f, os.CopyFS(dir, os.DirFS(filepath.Join(fixtures, cutOff))))
	head, err := os.ReadFile(filepath.Join(dir, HeadFile))
	must(f, err)
	f.Fuzz(func(t *testing.T, cut uint16, tail []byte) {
		samples := append(bytes.Clone(whole[:min(int(cut), len(whole))]), tail...)
		must(t, os.WriteFile(filepath.Join(dir, SamplesFile), samples, 0o600))
		must(t, os.WriteFile(filepath.Join(dir, HeadFile), head, 0o600))
		was := Check(dir)
		rec, err := Open(dir)
		must(t, err)
		before, damage := rec.Replay(nil)
		_, err = Recover(dir, replayAll, noResults)
		if err != nil {
			if now, _ := os.ReadFile(filepath.Join(dir, HeadFile)); !bytes.Equal(now, head) {
				t.Fatalf("refused with %v, and pull.json changed", err)
			}
			if was.Intact() && was.ReadBytes > 0 {
				t.Fatalf("intact and refused: %v", err)
			}
			return
		}
		if rec, err = Open(dir); err != nil {
			t.Fatal(err)
		}
		after, again := rec.Replay(nil)
		if (damage == nil) != (again == nil) {
			t.Fatalf("the damage was %v, is %v", damage, again)
		}
		a, b := ClosingFrom(before, "x"), ClosingFrom(after, "x")
		one, err := plainJSON(a)
		must(t, err)
		two, err := plainJSON(b)
		must(t, err)
		if !bytes.Equal(one, two) {
			t.Fatalf("another state than before:\n%s%s", one, two)
		}
		if now := Check(dir); was.Intact() != now.Intact() || now.Intact() && now.Status != Whole {
			t.Fatalf("was: %s\nis: %s", was.Text(), now.Text())
		}
		if now, _ := os.ReadFile(filepath.Join(dir, SamplesFile)); !bytes.Equal(now, samples) {
			t.Fatal("samples.csv was touched")
		}
	})
}

// FuzzRelabel: a label that is taken stands in the record as it is given back, alone of
// all that is in it; one that is not changes nothing.
func FuzzRelabel(f *testing.F) {
	f.Add("3", "M1", "wet sand")
	f.Add(" 3\u00a0", "<M\\\">", "")
	f.Add("\u202e3", "\u2028", "1150 °C")
	f.Add("\xff", "\x00", "\ud7ff")
	dir := f.TempDir()
	must(f, os.CopyFS(dir, os.DirFS(filepath.Join(fixtures, example))))
	head, err := os.ReadFile(filepath.Join(dir, HeadFile))
	must(f, err)
	f.Fuzz(func(t *testing.T, id, melt, tag string) {
		must(t, os.WriteFile(filepath.Join(dir, HeadFile), head, 0o600))
		to := Label{ID: id, Melt: melt, Tags: []string{tag, "x"}}
		want, bad := to.Valid()
		err := Relabel(dir, to)
		now, rerr := os.ReadFile(filepath.Join(dir, HeadFile))
		must(t, rerr)
		if bad != nil {
			if err == nil || !bytes.Equal(now, head) {
				t.Fatalf("%+v: %v, and taken: %v", to, bad, err)
			}
			return
		}
		if err != nil {
			t.Fatalf("%+v: %v", to, err)
		}
		h, err := HeadOf(dir)
		must(t, err)
		a, _ := plainJSON(h.Label())
		b, _ := plainJSON(want)
		if !bytes.Equal(a, b) {
			t.Fatalf("%s, want %s", a, b)
		}
	})
}
