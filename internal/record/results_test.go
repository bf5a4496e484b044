package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// Results join a closed record and nothing else of it changes: taken out again, it is
// what it was, byte for byte. Its head fits the schema and is read in one pass.
func TestKeepResults(t *testing.T) {
	dir := copied(t, example)
	before := headText(t, dir)
	rec, err := Open(dir)
	must(t, err)
	must(t, KeepResults(rec, json.RawMessage(`{"strength_pa":3e8,"strength_expanded_pa":6e6,"counts":null,"counts_because":[]}`)))
	text := headText(t, dir)
	must(t, validate(t, compile(t, true), text))
	if b, ok := siftBrief(text); !ok || b.Results == nil || b.Results.Expanded == nil || *b.Results.Expanded != 6e6 || b.Results.Counts != "" {
		t.Errorf("read as %+v", b.Results)
	}
	if r := Check(dir); r.Status != Whole {
		t.Errorf("check: %s", r.Text())
	}
	must(t, KeepResults(rec, json.RawMessage(`{"strength_pa":1}`)))
	if !bytes.Equal(headText(t, dir), text) {
		t.Error("results that were there were written over")
	}
	out, err := withField(text, "results", nil)
	must(t, err)
	if !bytes.Equal(out, before) {
		t.Errorf("without them:\n%s\nbefore:\n%s", out, before)
	}
}

// What somebody put into the record since it was opened stands, a record that is not
// closed gets none, and a disk that fails changes nothing.
func TestKeepResultsLeavesTheRecord(t *testing.T) {
	results := json.RawMessage(`{"strength_pa":1}`)
	dir := copied(t, example)
	rec, err := Open(dir)
	must(t, err)
	before := headText(t, dir)
	if err := keepResults(&troubled{now: trouble{headErr: syscall.ENOSPC}}, rec, results); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("a full disk: %v", err)
	}
	if err := KeepResults(rec, json.RawMessage(`{"strength_pa":`)); err == nil {
		t.Error("half a JSON was taken")
	}
	unlock, err := Lock(dir)
	must(t, err)
	if err := KeepResults(rec, results); !errors.Is(err, ErrBusy) {
		t.Errorf("locked: %v", err)
	}
	must(t, unlock())
	if !bytes.Equal(headText(t, dir), before) {
		t.Error("pull.json changed")
	}
	left, err := filepath.Glob(filepath.Join(dir, "*.tmp"))
	if must(t, err); len(left) != 0 {
		t.Errorf("left: %v", left)
	}
	must(t, addRemark(OS{}, dir, "oil on the thread", time.Now()))
	before = headText(t, dir)
	must(t, KeepResults(rec, results))
	if !bytes.Equal(headText(t, dir), before) {
		t.Error("results of an earlier head were put in")
	}
	open, err := Open(copied(t, cutOff))
	must(t, err)
	if KeepResults(open, results) == nil {
		t.Error("an unfinished record took results")
	}
}
