package finish

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"draghand/internal/record"
	"draghand/internal/strength"

	"github.com/google/go-cmp/cmp"
)

// cutAt is a pull that was cut off when samples.csv had n bytes, its sums as far as
// they had got.
func cutAt(t testing.TB, n int) string {
	t.Helper()
	dir := pulled(t)
	text := headText(t, dir)
	text = append(bytes.TrimRight(text[:bytes.Index(text, []byte(`"closing"`))], " \n,"), '}')
	write(t, dir, record.HeadFile, text)
	write(t, dir, record.SamplesFile, read(t, dir, record.SamplesFile)[:n])
	var sums []byte
	for line := range bytes.Lines(read(t, dir, record.SumFile)) {
		off := 0
		if err := json.Unmarshal(line[:bytes.IndexByte(line, ' ')], &off); err != nil {
			t.Fatal(err)
		}
		if off <= n {
			sums = append(sums, line...)
		}
	}
	write(t, dir, record.SumFile, sums)
	return dir
}

func read(t testing.TB, dir, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func write(t testing.TB, dir, name string, b []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// shown are results as they are shown to others.
func shown(t testing.TB, r strength.Results) string {
	t.Helper()
	b, err := json.MarshalIndent(r, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// alike are results but for the remark on how the record was closed.
func alike(t testing.TB, r strength.Results) string {
	t.Helper()
	r.Remarks = slices.DeleteFunc(slices.Clone(r.Remarks), func(s string) bool {
		return strings.Contains(s, "never closed") || strings.Contains(s, "closed later")
	})
	return shown(t, r)
}

// Wherever the pull was cut off, before the load, on the way up, behind the break,
// within a line or between two: its results are after the recovery what they were before, stand in
// the record, and it is whole.
func TestRecover(t *testing.T) {
	size := len(read(t, pulled(t), record.SamplesFile))
	step := 1571
	if testing.Short() {
		step = 5003
	}
	outcomes := map[string]bool{}
	cuts := []int{size, size - 1}
	for n := 20; n < size; n += step {
		cuts = append(cuts, n)
	}
	for _, n := range cuts {
		dir := cutAt(t, n)
		samples := read(t, dir, record.SamplesFile)
		before, err := Results(open(t, dir))
		if err != nil {
			t.Fatal(err)
		}
		said, err := Recover(dir)
		if err != nil || strings.Contains(said, "\n") {
			t.Fatalf("cut at %d: %q, %v", n, said, err)
		}
		rec := open(t, dir)
		after, err := Results(rec)
		if err != nil {
			t.Fatalf("cut at %d: %v", n, err)
		}
		if d := cmp.Diff(alike(t, before), alike(t, after)); d != "" {
			t.Errorf("cut at %d: other results than before:\n%s", n, d)
		}
		if !slices.ContainsFunc(after.Remarks, func(s string) bool { return strings.Contains(s, "closed later") }) {
			t.Errorf("cut at %d: no word of it in %q", n, after.Remarks)
		}
		var saved strength.Results
		if err := json.Unmarshal(rec.Head.Results, &saved); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(shown(t, after), shown(t, saved)); d != "" {
			t.Errorf("cut at %d: saved otherwise:\n%s", n, d)
		}
		if r := record.Check(dir); r.Status != record.Whole {
			t.Errorf("cut at %d: %s", n, r.Text())
		}
		if !bytes.Equal(samples, read(t, dir, record.SamplesFile)) {
			t.Errorf("cut at %d: samples.csv was touched", n)
		}
		outcomes[string(rec.Head.Closing.Outcome)] = true
		head := headText(t, dir)
		if _, err := Recover(dir); !errors.Is(err, record.ErrClosed) || !bytes.Equal(head, headText(t, dir)) {
			t.Errorf("cut at %d, again: %v", n, err)
		}
	}
	if !outcomes["broken"] || len(outcomes) < 2 {
		t.Errorf("cut at places that tell too little: %v", outcomes)
	}
}

// What is damaged at the end is named and left; the results are those of what is
// before it, as they were, and a check goes on saying damaged.
func TestRecoverDamaged(t *testing.T) {
	for name, c := range map[string]struct {
		cut   int // a sum ends at 20661
		spoil func(samples []byte) []byte
		says  string
		check string
	}{
		// As a file system leaves it whose machine lost its power: what was not synced is zeros.
		"zeros at the end": {22900, func(b []byte) []byte { clear(b[len(b)-1500:]); return b }, "more than 1024 bytes", "were damaged when the record was recovered"},
		"a line of others": {20661, func(b []byte) []byte { return append(b, "what is this\n1,,819,\n"...) }, "21 bytes from there on are left out", "were damaged when the record was recovered"},
		"the end is gone":  {20661, func(b []byte) []byte { return b[:len(b)-900] }, "samples.csv ends at byte", "samples.csv ends at byte"},
	} {
		dir := cutAt(t, c.cut)
		write(t, dir, record.SamplesFile, c.spoil(read(t, dir, record.SamplesFile)))
		samples := read(t, dir, record.SamplesFile)
		before, damage := Results(open(t, dir))
		said, err := Recover(dir)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !strings.Contains(said, c.says) || strings.Contains(said, "\n") {
			t.Errorf("%s: %q does not say %q", name, said, c.says)
		}
		rec := open(t, dir)
		after, again := Results(rec)
		if (damage == nil) != (again == nil) {
			t.Errorf("%s: the damage was %v, is %v", name, damage, again)
		}
		if d := cmp.Diff(alike(t, before), alike(t, after)); d != "" {
			t.Errorf("%s: other results than before:\n%s", name, d)
		}
		if (rec.Head.Closing.Recovered.Damage != "") != (damage != nil) {
			t.Errorf("%s: %+v", name, rec.Head.Closing.Recovered)
		}
		if r := record.Check(dir); r.Status != record.Damaged || !strings.Contains(strings.Join(r.Reasons, "\n"), c.check) {
			t.Errorf("%s: %s", name, r.Text())
		}
		if !bytes.Equal(samples, read(t, dir, record.SamplesFile)) {
			t.Errorf("%s: samples.csv was touched", name)
		}
	}
}

// Readings that are not those that were written close nothing.
func TestRecoverAltered(t *testing.T) {
	dir := cutAt(t, 20661)
	alter(t, dir)
	before := headText(t, dir)
	if said, err := Recover(dir); !errors.Is(err, ErrDamaged) || said != "" {
		t.Errorf("%q, %v", said, err)
	}
	if !bytes.Equal(before, headText(t, dir)) {
		t.Error("pull.json changed")
	}
}

// A damaged end does not hide that readings before it are not those that were written:
// where the sums tell so nothing is closed, and the results say it.
func TestRecoverAlteredAndDamaged(t *testing.T) {
	for _, closed := range []bool{false, true} {
		dir := pulled(t)
		if !closed {
			dir = cutAt(t, 20661) // where a sum ends
		}
		alter(t, dir)
		write(t, dir, record.SamplesFile, append(read(t, dir, record.SamplesFile), "what is this\n"...))
		before := headText(t, dir)
		if !closed {
			if said, err := Recover(dir); !errors.Is(err, ErrDamaged) || said != "" {
				t.Errorf("%q, %v", said, err)
			}
		}
		if !bytes.Equal(before, headText(t, dir)) {
			t.Error("pull.json changed")
		}
		out, err := Results(open(t, dir))
		if bad, ok := errors.AsType[*record.DamageError](err); !ok || !bad.Altered {
			t.Errorf("closed %v: the damage is %v", closed, err)
		}
		if !slices.ContainsFunc(out.Remarks, func(s string) bool { return strings.Contains(s, "not as they were written") }) {
			t.Errorf("closed %v: %q", closed, out.Remarks)
		}
	}
}

// A record that was recovered can be finished as any other, and what was measured
// before counts in what it was closed with.
func TestRecoverAndFinish(t *testing.T) {
	size := len(read(t, pulled(t), record.SamplesFile))
	dir := cutAt(t, size-7)
	if _, err := Save(dir, broke()); err != nil {
		t.Fatal(err)
	}
	if _, err := Recover(dir); err != nil {
		t.Fatal(err)
	}
	var saved strength.Results
	if err := json.Unmarshal(open(t, dir).Head.Results, &saved); err != nil || saved.Counts == nil {
		t.Errorf("%+v, %v", saved.Counts, err)
	}
	if _, err := Save(dir, broke()); err != nil {
		t.Error(err)
	}
}
