package main

import (
	"encoding/json"
	"path/filepath"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/testscript"
)

// scriptKept wants the results that stand in the pull.json of a record to be those on
// the last stdout, of draghand results --json: kept RECORD.
func scriptKept(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 1 || neg {
		ts.Fatalf("usage: kept RECORD")
	}
	var now any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile("stdout")), &now))
	if one, ok := now.([]any); ok && len(one) == 1 {
		now = one[0]
	}
	var head struct {
		Results  any `json:"results"`
		Finished any `json:"finished"`
	}
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(filepath.Join(args[0], "pull.json"))), &head))
	if d := cmp.Diff(now, head.Results); d != "" {
		ts.Fatalf("results now, and in the record (-now +kept):\n%s", d)
	}
	if head.Finished != nil {
		ts.Fatalf("finished: %v", head.Finished)
	}
}
