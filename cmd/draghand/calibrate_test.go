package main

import (
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"draghand/internal/calib"
	"draghand/internal/record"
)

// scriptCarried holds the one record of a shelf against the ID of the calibration
// that it carries.
func scriptCarried(ts *testscript.TestScript, neg bool, args []string) {
	found, err := filepath.Glob(filepath.Join(ts.MkAbs(args[0]), "*", record.HeadFile))
	if err != nil || len(found) != 1 {
		ts.Fatalf("%d records: %v", len(found), err)
	}
	rec, err := record.Open(filepath.Dir(found[0]))
	if err != nil {
		ts.Fatalf("%v", err)
	}
	c := rec.Head.Rig.Calibration
	if has := c != nil && c.ID == args[1]; has == neg {
		ts.Fatalf("it carries %+v", c)
	}
	if c != nil {
		if err := rec.Head.Rig.Validate(); err != nil {
			ts.Fatalf("its rig: %v", err)
		}
	}
}

// TestShelfFolder: the list of records knows the folder of calibrations by name, since
// it may not see its package.
func TestShelfFolder(t *testing.T) {
	if calib.Folder != "calibrations" {
		t.Errorf("the folder is %q: internal/shelf leaves out another", calib.Folder)
	}
}
