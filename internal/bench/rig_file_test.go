package bench

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// A rig file that somebody writes in is taken as it is, without being named again:
// its faults refuse, alone; what was seen to stays where it comes back as it was;
// and a pull is never armed by what it said before.
func TestRigFileIsReadAgain(t *testing.T) {
	t.Parallel()
	d := &board{raw: slack}
	file := filepath.Join(t.TempDir(), "rig.toml")
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(rig.Example())
	b := withBoard(t, d, nil, func(_ *table, o *Options) {
		o.LoadRig = func(path string) (*rig.Rig, error) { return rig.Load(path) }
		o.Initial[FieldRig] = file
	})
	b.ready(t)

	write(strings.Replace(rig.Example(), `rated_force = "250 kN"`, `rated_force = "250 kM"`, 1))
	if _, err := b.Arm("I know better"); err == nil || !strings.Contains(err.Error(), "rated_force") {
		t.Fatalf("armed by a file that is no more: %v", err)
	}
	if rs := b.View().Refusals; len(rs) != 1 || !rs[0].Final || !strings.Contains(rs[0].What, "the rig file cannot be used") {
		t.Errorf("refused: %s", whats(rs))
	}
	write(rig.Example())
	await(t, "it is whole again, and all still seen to", func() bool { return len(b.View().Refusals) == 0 })

	write(strings.Replace(rig.Example(), `rated_force = "250 kN"`, `rated_force = "200 kN"`, 1))
	if _, err := b.Arm(""); err == nil || !strings.Contains(err.Error(), "not seen to") {
		t.Fatalf("armed on a rig that nobody looked at: %v", err)
	}
	await(t, "the look is by the new file", func() bool {
		v := b.View()
		return v.Look != nil && slices.ContainsFunc(v.Look.State.Limits, func(l pull.Limit) bool { return l.Name == "ram" && l.Allowable == 200e3 })
	})
	b.ready(t)
	if d.opened != 1 {
		t.Errorf("opened %d times", d.opened)
	}
}

// A kind that the rig is not made for is told once, and what is wrong in few words.
func TestCrushIsToldOnce(t *testing.T) {
	t.Parallel()
	b := sat(t, func(_ *table, o *Options) {
		o.Initial = map[FieldID]string{FieldRig: "rig.toml", FieldSource: "sim:", FieldKind: "crush", FieldYield: "3"}
		o.LoadRig = func(string) (*rig.Rig, error) { return exampleRig(t), nil }
		open := o.Open
		o.Open = func(from string, r *rig.Rig, s Setup) (f feed.Feed, base watch.TimeBase, sim bool, err error) {
			if err := FitsRig(s.Kind, s.Proof, r); err != nil {
				return nil, 0, true, err
			}
			return open(from, r, s)
		}
	})
	await(t, "the kind is refused", func() bool { return b.refused("a block under the ram") })
	v := b.View()
	n := strings.Count(whats(v.Refusals), "a block under the ram")
	for _, f := range v.Fields {
		if strings.Contains(f.Fault, "a block under the ram") && f.ID != FieldKind {
			t.Errorf("%s: %s", f.ID, f.Fault)
		}
	}
	if n != 1 || v.SourceErr != "" {
		t.Errorf("told %d times, source %q: %s", n, v.SourceErr, whats(v.Refusals))
	}
	for _, r := range v.Refusals {
		if strings.HasPrefix(r.What, "least yield") && r.Brief != `least yield: "3" is no stress: no unit` {
			t.Errorf("in few words: %q", r.Brief)
		}
	}
	set(t, b, FieldKind, "tension")
	await(t, "the source is open", func() bool { return b.View().Source == SourceOpen })
	if err := b.Set(FieldKind, "crush"); err == nil || errors.Is(err, errRunning) {
		t.Errorf("crush: %v", err)
	}
	await(t, "it is still looked at", func() bool { return b.refused("a block under the ram") && b.View().Look != nil })
}
