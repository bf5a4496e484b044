package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
)

func replayAll(rec *Record) (pull.State, error) { return rec.Replay(nil) }

func noResults(*Record) (json.RawMessage, error) { return json.RawMessage(`{"record":"x"}`), nil }

// A record that was cut off within a line is closed by its whole lines; the torn one
// stays in the file, is told, and makes nothing damaged. Done again, nothing changes.
func TestRecover(t *testing.T) {
	dir := copied(t, cutOff)
	spoil(t, dir, HeadFile, func(b []byte) []byte {
		return bytes.Replace(b, []byte(`"format": 1,`), []byte(`"format": 1, "later": 1.2345678901234567890,`), 1)
	})
	samples, err := os.ReadFile(filepath.Join(dir, SamplesFile))
	must(t, err)
	before, err := Open(dir)
	must(t, err)
	state, err := before.Replay(nil)
	must(t, err)
	at := time.Date(2026, 11, 26, 8, 0, 0, 0, time.FixedZone("", 3600))
	said, err := recoverAt(OS{}, dir, replayAll, noResults, at)
	must(t, err)
	// 40 readings were written, 10 ms apart from 0 on; the last is torn 6 bytes before its end.
	torn := len(samples) - 1 - bytes.LastIndexByte(samples, '\n')
	for _, want := range []string{"39 readings over 0.38 s", "no load was seen", "the last line is torn, its"} {
		if !strings.Contains(said, want) || strings.Contains(said, "\n") {
			t.Errorf("%q does not say %q", said, want)
		}
	}
	rec, err := Open(dir)
	must(t, err)
	c := rec.Head.Closing
	if c == nil || c.Reason != ByRecovery || c.SamplesLines != 39 || c.SamplesBytes != int64(len(samples)-torn) || c.Recovered == nil ||
		c.Recovered.Torn != int64(torn) || c.Recovered.Damage != "" || !c.Recovered.At.Equal(at) || !c.Ended.Equal(rec.Head.Started.Add(380*time.Millisecond)) {
		t.Errorf("closed with %+v, %+v", c, c.Recovered)
	}
	if r := Check(dir); r.Status != Whole || r.TornBytes != torn || r.ProvenLines != 39 || r.SHA256 != "match" {
		t.Errorf("check: %s", r.Text())
	}
	if after, err := rec.Replay(nil); err != nil || after.Readings != state.Readings || after.Phase != state.Phase {
		t.Errorf("replayed: %+v, %v", after, err)
	}
	text := headText(t, dir)
	if !strings.Contains(string(text), `"later": 1.2345678901234567890,`) || !strings.Contains(strings.Join(rec.Head.Remarks, "\n"), "cut off") {
		t.Errorf("%s", text)
	}
	spoil(t, dir, HeadFile, func(b []byte) []byte { return bytes.Replace(b, []byte(`"later": 1.2345678901234567890,`), nil, 1) })
	if err := validate(t, compile(t, true), headText(t, dir)); err != nil {
		t.Error(err)
	}
	if now, _ := os.ReadFile(filepath.Join(dir, SamplesFile)); !bytes.Equal(now, samples) {
		t.Error("samples.csv was touched")
	}
	text = headText(t, dir)
	if _, err := Recover(dir, replayAll, noResults); !errors.Is(err, ErrClosed) || !bytes.Equal(text, headText(t, dir)) {
		t.Errorf("again: %v", err)
	}
}

// What changes after a recovery is found, in the torn end too.
func TestRecoveredIsProven(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func([]byte) []byte
		says  string
	}{
		"one more byte":      {func(b []byte) []byte { return append(b, '1') }, "1 bytes were added"},
		"the torn line ends": {func(b []byte) []byte { return append(b, '\n') }, "1 bytes were added"},
		"a line more":        {func(b []byte) []byte { return append(b, ",\n990000,,819,\n"...) }, "bytes were added"},
		"the torn line gone": {func(b []byte) []byte { return b[:bytes.LastIndexByte(b, '\n')+1] }, "torn last line are gone"},
		"a line gone":        {func(b []byte) []byte { return b[:bytes.LastIndexByte(b, '\n')] }, "at closing it had"},
		"a digit":            {func(b []byte) []byte { b[len(b)-30] ^= 1; return b }, ""},
	} {
		dir := copied(t, cutOff)
		_, err := Recover(dir, replayAll, noResults)
		must(t, err)
		spoil(t, dir, SamplesFile, c.spoil)
		if r := Check(dir); r.Status != Damaged || !strings.Contains(strings.Join(r.Reasons, "\n"), c.says) {
			t.Errorf("%s: %s", name, r.Text())
		}
		rec, err := Open(dir)
		must(t, err)
		if _, err := rec.Replay(nil); err == nil {
			t.Errorf("%s: replayed as if it were whole", name)
		}
	}
}

func TestRecoverRefused(t *testing.T) {
	for name, c := range map[string]struct {
		of    string
		file  string
		spoil func([]byte) []byte
		want  error
	}{
		"closed":         {example, "", nil, ErrClosed},
		"newer":          {cutOff, HeadFile, func(b []byte) []byte { return bytes.Replace(b, []byte(`"format": 1`), []byte(`"format": 99`), 1) }, ErrNewer},
		"head torn":      {cutOff, HeadFile, func(b []byte) []byte { return b[:len(b)/2] }, nil},
		"no rig":         {cutOff, HeadFile, func([]byte) []byte { return []byte(`{"format": 1}`) }, nil},
		"no readings":    {cutOff, SamplesFile, func([]byte) []byte { return nil }, ErrNotIntact},
		"header damaged": {cutOff, SamplesFile, func(b []byte) []byte { return append([]byte("x"), b...) }, ErrNotIntact},
		"altered":        {cutOff, SamplesFile, func(b []byte) []byte { b[60] = '0' + (b[60]-'0'+1)%10; return b }, ErrNotIntact},
	} {
		dir := copied(t, c.of)
		if c.spoil != nil {
			spoil(t, dir, c.file, c.spoil)
		}
		before := headText(t, dir)
		if said, err := Recover(dir, replayAll, noResults); err == nil || said != "" || c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s: %q, %v, want %v", name, said, err, c.want)
		}
		if !bytes.Equal(before, headText(t, dir)) {
			t.Errorf("%s: refused, and pull.json changed", name)
		}
	}
	dir := copied(t, cutOff)
	unlock, err := Lock(dir)
	must(t, err)
	if _, err := Recover(dir, replayAll, noResults); !errors.Is(err, ErrBusy) {
		t.Errorf("while it is written: %v", err)
	}
	must(t, unlock())
	must(t, os.Remove(filepath.Join(dir, HeadFile)))
	if _, err := Recover(dir, replayAll, noResults); !errors.Is(err, ErrForeign) {
		t.Errorf("no head: %v", err)
	}
}

// A disk that is full leaves the record as it was.
func TestRecoverDisk(t *testing.T) {
	dir := copied(t, cutOff)
	before := headText(t, dir)
	if _, err := recoverAt(noRename{}, dir, replayAll, noResults, time.Now()); !errors.Is(err, errRename) {
		t.Errorf("%v", err)
	}
	if !bytes.Equal(before, headText(t, dir)) {
		t.Error("pull.json changed")
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.tmp")); len(left) > 0 {
		t.Errorf("left: %q", left)
	}
	_, err := Recover(dir, replayAll, noResults)
	must(t, err)
}

var errRename = errors.New("the disk is full")

type noRename struct{ OS }

func (noRename) Rename(string, string) error { return errRename }
