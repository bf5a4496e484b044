package bench

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

func TestParseSide(t *testing.T) {
	for text, want := range map[string]specimen.Side{"": "", "near": specimen.Near, " Far ": specimen.Far} {
		if got, err := ParseSide(text); err != nil || got != want {
			t.Errorf("%q is read as %q, %v", text, got, err)
		}
	}
	for _, text := range []string{"left", "far side", "0"} {
		if got, err := ParseSide(text); err == nil || got != "" {
			t.Errorf("%q is read as %q", text, got)
		}
	}
}

// The side is asked for where there are two, and refused with the reason where
// there are not.
func TestSideField(t *testing.T) {
	f := form{rig: exampleRig(t), texts: map[FieldID]string{FieldSide: "Far"}}
	fields, s := f.read()
	side := field(t, fields, FieldSide)
	if s.Bar.Side != specimen.Far || side.Read != "far" || side.Fault != "" || side.Hint == "" || !slices.Equal(side.Choices, []string{"near", "far"}) {
		t.Errorf("%+v, %q", side, s.Bar.Side)
	}
	fixed := *exampleRig(t)
	fixed.Path = rig.Path{Kind: rig.Fixed, Share: 0.5, ShareTol: 0.01}
	for name, r := range map[string]*rig.Rig{"fixed": &fixed, "direct": crushing(t)} {
		f.rig = r
		fields, s = f.read()
		if got := field(t, fields, FieldSide).Fault; !strings.Contains(got, "cannot stand on the far side") || s.Bar.Side != "" {
			t.Errorf("%s: fault %q, side %q", name, got, s.Bar.Side)
		}
		if why := new(Unfit); !errors.As(FitsSide(specimen.Far, r), &why) || why.Next() == "" || FitsSide(specimen.Near, r) != nil {
			t.Errorf("%s: not refused", name)
		}
		fields, _ = (&form{rig: r, texts: map[FieldID]string{}}).read()
		if slices.ContainsFunc(fields, func(f Field) bool { return f.ID == FieldSide }) {
			t.Errorf("%s: a side is asked for", name)
		}
	}
}

// The target of a proof is held against the limits as the bar stands: with arms
// of 80 and 120 mm (0.6 and 0.4) the stop of 48 kN on a side lies at 80 kN of the
// ram: 48 kN on a bar near, 32 kN on one far, both less what is uncertain.
func TestTargetOnTheFarSide(t *testing.T) {
	r := *exampleRig(t)
	r.Path.SpecimenArm, r.Path.FarArm, r.Path.Share = 80*si.Millimetre, 120*si.Millimetre, 0.6
	f := form{rig: &r, texts: map[FieldID]string{FieldKind: "proof", FieldTarget: "35 kN"}}
	for side, want := range map[string]watch.Proof{"": {Target: 35e3}, "far": {}} {
		f.texts[FieldSide] = side
		fields, s := f.read()
		if s.Proof != want || (field(t, fields, FieldTarget).Fault == "") != (side == "") {
			t.Errorf("side %q: %+v, fault %q", side, s.Proof, field(t, fields, FieldTarget).Fault)
		}
	}
}

// A bar that changes sides has the points about it asked for anew, sees its own
// share in what is read, and has the side in its record.
func TestSittingOnTheFarSide(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := sat(t, nil)
		set(t, b, FieldSource, "sim:")
		set(t, b, FieldDiameters, "12.5 mm")
		await(t, "there is a zero", func() bool { l := b.View().Look; return l != nil && l.State.Zero.Set })
		b.goRound()
		await(t, "nothing refuses", func() bool { return len(b.View().Refusals) == 0 }) // readings may be late on a loaded machine
		set(t, b, FieldSide, "far")
		v := b.View()
		if l := v.Look; l != nil && l.Specimen.Side != specimen.Far {
			t.Errorf("what is read counts still for a bar on side %q", l.Specimen.Side)
		}
		if !v.Rig.Path.BarFar {
			t.Error("the rig shown has the bar in its own place")
		}
		for _, p := range v.Points {
			if again := p.ID == PointArms || p.ID == PointLine || p.ID == PointStroke; p.Done == again {
				t.Errorf("%s: seen to %v", p.ID, p.Done)
			}
			if p.ID == PointArms && !strings.Contains(p.Text, "FAR side") {
				t.Errorf("the arms' point says %q", p.Text)
			}
			if len([]rune(p.Text)) > mostCells {
				t.Errorf("%q is longer than %d", p.Text, mostCells)
			}
		}
		b.goRound()
		await(t, "there is a zero again", func() bool { l := b.View().Look; return l != nil && l.State.Zero.Set && len(b.View().Refusals) == 0 })
		ended := b.pull(t, "")
		if ended.Bar.Side != specimen.Far || !slices.ContainsFunc(ended.Results.Remarks, func(r string) bool { return strings.Contains(r, "far side") }) {
			t.Errorf("ended: side %q, %q", ended.Bar.Side, ended.Results.Remarks)
		}
		rec, err := record.Open(ended.Record)
		if err != nil {
			t.Fatal(err)
		}
		if rec.Head.Specimen.Side != specimen.Far || !rec.Head.Rig.Path.BarFar {
			t.Errorf("the record has side %q", rec.Head.Specimen.Side)
		}
		b.NextBar()
		if _, s := b.form.read(); s.Bar.Side != specimen.Far {
			t.Error("the next bar stands elsewhere")
		}
	})
}

// Without a rig a side may be written, and nothing is judged.
func TestSideWithoutARig(t *testing.T) {
	f := form{texts: map[FieldID]string{FieldSide: "far"}}
	fields, s := f.read()
	if field(t, fields, FieldSide).Fault != "" || s.Bar.Side != specimen.Far || s.Kind != pull.Tension {
		t.Errorf("%+v", s)
	}
}

// A zero that a person stood for is the one that later ones are held against, on
// the far side too.
func TestZeroAcceptedOnTheFarSide(t *testing.T) {
	t.Parallel()
	for _, side := range []string{"near", "far"} {
		t.Run(side, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := withBoard(t, &board{raw: slack + light}, nil, nil)
				set(t, b, FieldSide, side)
				await(t, "there is a zero", func() bool { return b.refused("no earlier zero of this rig is known") })
				b.goRound()
				b.mu.Lock()
				b.trust = &trusted{raw: slack, at: time.Now(), from: b.form.source(), sensor: b.form.rig.Sensor}
				b.changed()
				b.mu.Unlock()
				await(t, "the zero is too high", func() bool { return b.refused("the zero was taken") })
				if _, err := b.Arm("it is the sensor"); err != nil {
					t.Fatal(err)
				}
				b.mu.Lock()
				defer b.mu.Unlock()
				if b.trust.raw < slack+light-2 {
					t.Errorf("held against %g, not against the zero of %d", b.trust.raw, slack+light)
				}
			})
		})
	}
}
