package record

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/pull"
)

// A pull.json that is not as it was written is told of in words that need no knowledge
// of what the file is made of; what its reader met stands behind them, for who has it.
// The list, which reads less of the file, says the same.
func TestHeadFault(t *testing.T) {
	cut := func(n int) func([]byte) []byte { return func(b []byte) []byte { return b[:n] } }
	rigless := func(b []byte) []byte { return bytes.Replace(b, []byte(`"rig":`), []byte(`"rug":`), 1) }
	for name, c := range map[string]struct {
		spoil       func([]byte) []byte
		says, reads string
	}{
		"empty":            {cut(0), "is empty", "no readable JSON"},
		"blank":            {func(b []byte) []byte { return []byte(" \n\n") }, "is empty", "no readable JSON"},
		"zeros":            {func(b []byte) []byte { return make([]byte, len(b)) }, "is empty, with zeros in place of its text", "no readable JSON"},
		"cut in two":       {func(b []byte) []byte { return b[:len(b)/2] }, "is torn, its end is missing", "unexpected end of JSON input"},
		"the last brace":   {func(b []byte) []byte { return bytes.TrimRight(b, "}\n") }, "is torn, its end is missing", "unexpected end of JSON input"},
		"zeros at the end": {func(b []byte) []byte { clear(b[100:]); return b }, "is altered, its text makes no sense from byte 101 on", "invalid character"},
		"a brace more":     {func(b []byte) []byte { return append([]byte("{"), b...) }, "is altered, its text makes no sense from byte 2 on", "invalid character '{'"},
		"another file's":   {func([]byte) []byte { return []byte("what is this") }, "is altered, its text makes no sense from byte 1 on", "invalid character 'w'"},
		"text for a time":  {func(b []byte) []byte { return bytes.Replace(b, []byte(`"started": "`), []byte(`"started": "x`), 1) }, "is altered, an entry of it cannot be understood", "parsing time"},
		"no format":        {func([]byte) []byte { return []byte("{}") }, "has no format number", "not a pull record"},
		"too large":        {func(b []byte) []byte { return append(b, make([]byte, maxHead)...) }, "is larger than 16777216 bytes", ""},
		"no rig":           {rigless, "has no rig: the forces cannot be reckoned", ""},
	} {
		t.Run(name, func(t *testing.T) {
			dir := smallRecord(t, t.TempDir())
			spoil(t, dir, HeadFile, c.spoil)
			path := filepath.Join(dir, HeadFile)
			_, err := HeadOf(dir)
			var s Skimmer
			_, brief := s.BriefAt(dir, nil)
			_, open := Open(dir)
			for who, err := range map[string]error{"head": err, "list": brief, "open": open} {
				f, ok := errors.AsType[*HeadError](err)
				if !ok || f.Fault != c.says || f.Path != path || !strings.HasPrefix(err.Error(), fmt.Sprintf("%q %s", path, c.says)) || !strings.Contains(err.Error(), c.reads) {
					t.Errorf("%s: %v, want %q and %q", who, err, c.says, c.reads)
				}
				if errors.Is(err, ErrForeign) != (name == "no format") || errors.Is(err, fs.ErrNotExist) || errors.Is(err, ErrNewer) {
					t.Errorf("%s: %v is taken for another fault", who, err)
				}
			}
			r := Check(dir)
			if all := strings.Join(r.Reasons, "\n"); r.Status != Damaged || r.ProvenLines != r.Lines || r.Lines == 0 || !strings.Contains(all, c.says) || !strings.Contains(all, "put it back from a copy") {
				t.Errorf("check: %s", r.Text())
			}
		})
	}
}

// A record whose pull.json is gone is a record still, as long as its readings are there;
// with a copy in its place it is as it was, and with that of another pull it is not.
func TestHeadLostAndPutBack(t *testing.T) {
	dir, other := smallRecord(t, t.TempDir()), mustCreate(t, Options{}, t.TempDir())
	other.Append(ms(0), []byte("1000"), []byte("7"), "")
	must(t, other.Close(ClosingFrom(pull.State{T: ms(6), Phase: pull.Slack}, ByPerson)))
	path := filepath.Join(dir, HeadFile)
	whole, err := os.ReadFile(path)
	must(t, err)
	must(t, os.Remove(path))
	_, err = HeadOf(dir)
	if f, ok := errors.AsType[*HeadError](err); !ok || !errors.Is(err, fs.ErrNotExist) || f.Plain() != "pull.json is missing" || !strings.HasSuffix(err.Error(), "holds no pull.json, which is lost") {
		t.Errorf("%v", err)
	}
	if r := Check(dir); r.Status != Damaged || !strings.Contains(r.Text(), "put it back from a copy") {
		t.Errorf("without: %s", r.Text())
	}
	must(t, os.WriteFile(path, whole, 0o644))
	if r := Check(dir); r.Status != Whole {
		t.Errorf("put back: %s", r.Text())
	}
	foreign, err := os.ReadFile(filepath.Join(other.Dir(), HeadFile))
	must(t, err)
	must(t, os.WriteFile(path, foreign, 0o644))
	if r := Check(dir); r.Status != Damaged || !strings.Contains(r.Text(), "SHA-256") {
		t.Errorf("that of another pull: %s", r.Text())
	}
	must(t, os.Remove(filepath.Join(dir, SamplesFile)))
	must(t, os.Remove(path))
	if _, err := HeadOf(dir); !errors.Is(err, ErrForeign) || !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("neither is there: %v", err)
	}
}

// A record that was cut off while it was begun has no pull.json and no reading, and looks
// like one read from a dial whose pull.json is lost: both are said, a copy first.
func TestHeadOfARecordJustBegun(t *testing.T) {
	dir := t.TempDir()
	must(t, os.WriteFile(filepath.Join(dir, SamplesFile), []byte(header+"\n"), 0o644))
	for range 2 {
		_, err := HeadOf(dir)
		f, ok := errors.AsType[*HeadError](err)
		if !ok || !f.Empty || !errors.Is(err, fs.ErrNotExist) || !errors.Is(err, ErrForeign) || !strings.Contains(err.Error(), "there is no reading") || !strings.Contains(err.Error(), "dial") || !strings.HasPrefix(f.Next(), "put it back from a copy if there is one") {
			t.Errorf("%v", err)
		}
		if r := Check(dir); r.Status != Damaged || !strings.Contains(r.Text(), "put it back from a copy if there is one; else draghand trash takes it away") {
			t.Errorf("%s", r.Text())
		}
		must(t, os.WriteFile(filepath.Join(dir, SumFile), nil, 0o644)) // or it came so far
	}
	must(t, os.WriteFile(filepath.Join(dir, SamplesFile), []byte(header+"\n0,0,820,\n"), 0o644))
	if _, err := HeadOf(dir); err == nil || strings.Contains(err.Error(), "there is no reading") {
		t.Errorf("with a reading: %v", err)
	}
}
