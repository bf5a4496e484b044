package record

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"draghand/internal/rig"

	"github.com/google/go-cmp/cmp"
)

// A record of a rig with computed and proven limits needs no other file: the
// schema describes every dimension of every kind, and the rig comes back to the
// bit.
func TestRecordHoldsParts(t *testing.T) {
	r, err := rig.Load("../../testdata/rigs/computed.toml")
	must(t, err)
	h := simulatedHead()
	h.Rig = r
	w, err := Create(t.TempDir(), h)
	must(t, err)
	text, err := os.ReadFile(filepath.Join(w.Dir(), HeadFile))
	must(t, err)
	if err := validate(t, compile(t, true), text); err != nil {
		t.Errorf("a field is not described: %v", err)
	}
	must(t, w.Close(ClosingFrom(fullState(), ByPerson)))
	back, err := Open(w.Dir())
	must(t, err)
	if !reflect.DeepEqual(back.Head.Rig, r) {
		t.Errorf("the rig of the record: %s", cmp.Diff(r, back.Head.Rig))
	}
}
