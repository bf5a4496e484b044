package record

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// spoil changes one file of a record.
func spoil(t testing.TB, dir, name string, f func([]byte) []byte) {
	t.Helper()
	path := filepath.Join(dir, name)
	b, err := os.ReadFile(path)
	must(t, err)
	must(t, os.WriteFile(path, f(b), 0o644))
}

func cutTo(n int) func([]byte) []byte { return func(b []byte) []byte { return b[:n] } }

func swap(old, new string) func([]byte) []byte {
	return func(b []byte) []byte {
		if !bytes.Contains(b, []byte(old)) {
			panic("the test replaces what is not there: " + old)
		}
		return bytes.Replace(b, []byte(old), []byte(new), 1)
	}
}

// The samples.csv of smallRecord, by hand: header to byte 20, then lines
// ending at 32, 47, 81 (here a sum), 108, 127, 154 and 165 (here the last).
const (
	atSum  = 81
	atEnd  = 165
	atLine = 47 // the start of the bad line, before the sum
)

// Every damage by name: what Check says, what is still read, where trust ends.
func TestDamage(t *testing.T) {
	whole := smallRecord(t, t.TempDir())
	open := copyRecord(t, whole) // the same as if its writer had been killed
	spoil(t, open, HeadFile, func(b []byte) []byte {
		h, err := decodeHead("", b)
		must(t, err)
		h.Closing = nil
		text, err := encodeHead(h)
		must(t, err)
		return text
	})
	type found struct {
		Status         Status
		Read, Proven   int64 // lines
		ProvenBytes    int64
		Bad            int64 // −1: none
		Torn           int
		SHA            string
		Intact, Reason bool
	}
	samples := func(f func([]byte) []byte) func(string) {
		return func(dir string) { spoil(t, dir, SamplesFile, f) }
	}
	for _, c := range []struct {
		name   string
		record string
		damage func(dir string)
		want   found
		says   string // part of a reason
	}{
		{"none", whole, func(string) {}, found{Whole, 7, 7, atEnd, -1, 0, "match", true, false}, ""},
		{"unfinished", open, func(string) {}, found{Unfinished, 7, 7, atEnd, -1, 0, "none", true, false}, ""},
		{
			"unfinished, bytes behind the last sum", open, samples(func(b []byte) []byte { return append(b, "7000,,1,\n"...) }),
			found{Unfinished, 8, 7, atEnd, -1, 0, "none", true, false},
			"",
		},
		{
			"unfinished, torn last line", open, samples(func(b []byte) []byte { return append(b, "7000,,1"...) }),
			found{Unfinished, 7, 7, atEnd, -1, 7, "none", true, false},
			"",
		},
		{
			"unfinished, rubbish behind the last sum", open, samples(func(b []byte) []byte { return append(b, "\x00\x00\x00\n"...) }),
			found{Damaged, 7, 7, atEnd, atEnd, 0, "none", false, true},
			"damaged at byte 165 (line 9)",
		},
		{
			"unfinished, truncated before the last sum", open, samples(cutTo(140)),
			found{Damaged, 5, 3, atSum, atSum, 13, "none", false, true},
			"ends at byte 140, it had 165",
		},
		{
			"unfinished, truncated before every sum but the first", open, samples(cutTo(60)),
			found{Damaged, 2, 0, 20, 20, 13, "none", false, true},
			"ends at byte 60",
		},
		{
			"torn last line", whole, samples(cutTo(160)),
			found{Damaged, 6, 3, atSum, atSum, 6, "mismatch", false, true},
			"at closing it had 165",
		},
		{
			"flipped bit before a sum", whole, samples(func(b []byte) []byte { b[43] ^= 1; return b }),
			found{Damaged, 7, 0, 20, 20, 0, "mismatch", false, true},
			"between byte 20 and byte 81",
		},
		{
			"flipped bit after a sum", whole, samples(func(b []byte) []byte { b[92] ^= 1; return b }),
			found{Damaged, 7, 3, atSum, atSum, 0, "mismatch", false, true},
			"between byte 81 and byte 165",
		},
		{
			"flipped bit makes a line unreadable", whole, samples(func(b []byte) []byte { b[atLine] ^= 0x40; return b }),
			found{Damaged, 2, 0, 20, 20, 0, "mismatch", false, true},
			"damaged at byte 47 (line 4)",
		},
		{
			"extra bytes after closing", whole, samples(func(b []byte) []byte { return append(b, "7000,,1,\n"...) }),
			found{Damaged, 8, 7, atEnd, atEnd, 0, "match", false, true},
			"9 bytes were added after closing",
		},
		{
			"empty samples", whole, samples(cutTo(0)),
			found{Damaged, 0, 0, 0, 0, 0, "mismatch", false, true},
			"has 0 bytes",
		},
		{
			"header wrong", whole, samples(swap("t_us", "t_ms")),
			found{Damaged, 0, 0, 0, 0, 0, "mismatch", false, true},
			"the first line is not t_us",
		},
		{
			"samples missing", whole, func(dir string) { must(t, os.Remove(filepath.Join(dir, SamplesFile))) },
			found{Damaged, 0, 0, 0, -1, 0, "none", false, true},
			"samples.csv is missing",
		},
		{
			"sum missing", whole, func(dir string) { must(t, os.Remove(filepath.Join(dir, SumFile))) },
			found{Damaged, 7, 7, atEnd, -1, 0, "match", false, true},
			"samples.sum is missing",
		},
		{
			"unfinished, sum missing", open, func(dir string) { must(t, os.Remove(filepath.Join(dir, SumFile))) },
			found{Damaged, 7, 0, 0, -1, 0, "none", false, true},
			"samples.sum is missing",
		},
		{
			"sum empty", whole, func(dir string) { spoil(t, dir, SumFile, cutTo(0)) },
			found{Damaged, 7, 7, atEnd, -1, 0, "match", false, true},
			"samples.sum is empty",
		},
		{
			"sum torn", open, func(dir string) { spoil(t, dir, SumFile, func(b []byte) []byte { return b[:len(b)-3] }) },
			found{Unfinished, 7, 3, atSum, -1, 0, "none", true, false},
			"",
		},
		{
			"sum no hexadecimal", whole, func(dir string) { spoil(t, dir, SumFile, swap("20 ", "20 x")) },
			found{Damaged, 7, 7, atEnd, -1, 0, "match", false, true},
			"samples.sum line 1",
		},
		{
			"flipped bit in the sum", open, func(dir string) { spoil(t, dir, SumFile, flipHex) },
			found{Damaged, 7, 7, atEnd, -1, 0, "none", false, true},
			"that file is damaged, not the readings",
		},
		{
			"json missing", whole, func(dir string) { must(t, os.Remove(filepath.Join(dir, HeadFile))) },
			found{Damaged, 7, 7, atEnd, -1, 0, "none", false, true},
			"holds no pull.json",
		},
		{
			"json garbage", whole, func(dir string) { spoil(t, dir, HeadFile, cutTo(100)) },
			found{Damaged, 7, 7, atEnd, -1, 0, "none", false, true},
			"no readable JSON",
		},
		{
			"json with another hash", whole, func(dir string) { spoil(t, dir, HeadFile, swap(`"samples_sha256": "`, `"samples_sha256": "0`)) },
			found{Damaged, 7, 7, atEnd, -1, 0, "mismatch", false, true},
			"SHA-256",
		},
		{
			"newer format", whole, func(dir string) { spoil(t, dir, HeadFile, swap(`"format": 1`, `"format": 3`)) },
			found{Newer, 0, 0, 0, -1, 0, "none", false, true},
			"made by a newer draghand (format 3), this one reads up to 2: update",
		},
		{
			"nothing of ours", whole, func(dir string) {
				must(t, os.Remove(filepath.Join(dir, HeadFile)))
				must(t, os.Remove(filepath.Join(dir, SamplesFile)))
			}, found{Foreign, 0, 0, 0, -1, 0, "none", false, true}, "not a pull record",
		},
		{"no folder", whole, func(dir string) { must(t, os.RemoveAll(dir)) }, found{Foreign, 0, 0, 0, -1, 0, "none", false, true}, "not a pull record"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := copyRecord(t, c.record)
			c.damage(dir)
			before, _ := os.ReadFile(filepath.Join(dir, SamplesFile))
			r := Check(dir)
			got := found{
				r.Status, r.Lines, r.ProvenLines, r.ProvenBytes, -1, r.TornBytes, r.SHA256, r.Intact(), len(r.Reasons) > 0,
			}
			if r.BadByte != nil {
				got.Bad = *r.BadByte
			}
			if d := cmp.Diff(c.want, got); d != "" {
				t.Errorf("Check (-want +got):\n%s%s", d, r.Text())
			}
			if !strings.Contains(strings.Join(r.Reasons, "\n"), c.says) {
				t.Errorf("reasons %q, want %q in them", r.Reasons, c.says)
			}
			if !strings.Contains(r.Text(), string(r.Status)) {
				t.Errorf("Text = %q", r.Text())
			}
			if after, _ := os.ReadFile(filepath.Join(dir, SamplesFile)); !bytes.Equal(before, after) {
				t.Error("samples.csv was changed")
			}
			_, err := Open(dir)
			if errors.Is(err, ErrNewer) != (r.Status == Newer) {
				t.Errorf("Open = %v", err)
			}
			if r.Status == Foreign && !errors.Is(err, ErrForeign) {
				t.Errorf("Open = %v", err)
			}
		})
	}
}

// flipHex changes the CRC of the sum in the middle.
func flipHex(b []byte) []byte {
	i := bytes.Index(b, []byte("\n81 ")) + 4
	if b[i] == '0' {
		b[i] = '1'
	} else {
		b[i] = '0'
	}
	return b
}

// A cut at every length leaves a prefix: all whole lines before it, the rest
// named as torn, and Check calls it unfinished or damaged, never whole.
func TestCutEverywhere(t *testing.T) {
	dir := smallRecord(t, t.TempDir())
	all, _ := readDir(t, dir)
	text, err := os.ReadFile(filepath.Join(dir, SamplesFile))
	must(t, err)
	for n := range len(text) {
		rs := NewReadings(bytes.NewReader(text[:n]))
		got := readAll(rs)
		lines := max(0, bytes.Count(text[:n], []byte{'\n'})-1)
		torn := n - (bytes.LastIndexByte(text[:n], '\n') + 1)
		if rs.Err() != nil || rs.Torn() != torn || len(got) != lines {
			t.Errorf("cut at %d: err %v, torn %d, %d lines; want nil, %d, %d", n, rs.Err(), rs.Torn(), len(got), torn, lines)
		}
		if d := cmp.Diff(all[:len(got)], got); len(got) > 0 && d != "" {
			t.Errorf("cut at %d is no prefix:\n%s", n, d)
		}
	}
	work := copyRecord(t, dir)
	for n := range len(text) {
		must(t, os.WriteFile(filepath.Join(work, SamplesFile), text[:n], 0o644))
		r := Check(work)
		if r.Status != Damaged || r.Bytes != int64(n) || r.ProvenBytes > int64(n) || r.ProvenLines > r.Lines {
			t.Errorf("cut at %d: %+v", n, r)
		}
		// The readings of a closed record that is too short say so.
		rec, err := Open(work)
		must(t, err)
		rs := rec.Readings()
		readAll(rs)
		if _, ok := errors.AsType[*DamageError](rs.Err()); !ok {
			t.Errorf("cut at %d: Readings.Err = %v", n, rs.Err())
		}
	}
}

// A flipped bit in any byte of samples.csv is found: CRC-32C finds every
// single one, so one a byte is enough to see that each byte is covered.
func TestFlipEverywhere(t *testing.T) {
	dir := smallRecord(t, t.TempDir())
	text, err := os.ReadFile(filepath.Join(dir, SamplesFile))
	must(t, err)
	for i := range text {
		bit := i % 8
		text[i] ^= 1 << bit
		must(t, os.WriteFile(filepath.Join(dir, SamplesFile), text, 0o644))
		text[i] ^= 1 << bit
		r := Check(dir)
		if r.Status != Damaged || r.BadByte == nil || *r.BadByte > int64(i) || r.ProvenBytes > int64(i) {
			t.Fatalf("bit %d of byte %d: %+v", bit, i, r)
		}
	}
}

// Fields a later program added do not disturb.
func TestUnknownFields(t *testing.T) {
	dir := smallRecord(t, t.TempDir())
	spoil(t, dir, HeadFile, swap(`"format": 1,`, `"format": 1, "colour": {"of": ["the bar"]},`))
	rec, err := Open(dir)
	must(t, err)
	if !rec.Closed() || rec.Head.Specimen.Melt != "M1" {
		t.Errorf("head = %+v", rec.Head)
	}
	if r := Check(dir); r.Status != Whole {
		t.Errorf("Check = %+v", r)
	}
}

// Columns of further channels are read over.
func TestFurtherColumns(t *testing.T) {
	text := "t_us,dev_t,raw,note,raw2,raw3\n1,10,2048,,\"a,b\",7\n2,,,end,,\n"
	rs := NewReadings(strings.NewReader(text))
	got := readAll(rs)
	if rs.Err() != nil || len(got) != 2 || got[0].Raw != "2048" || got[1].Note != "end" {
		t.Errorf("got %+v, err %v", got, rs.Err())
	}
	rs = NewReadings(strings.NewReader("t_us,dev_t,raw,note,raw2\n1,10,2048,\n"))
	if got := readAll(rs); len(got) != 0 || rs.Err() == nil {
		t.Errorf("a missing column passes: %+v", got)
	}
}
