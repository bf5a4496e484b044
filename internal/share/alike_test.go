package share_test

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/share"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// six are like bars, three a side, on the example rig: they break at the given
// forces on the specimen, as reckoned with its half of the ram's force.
func six(t *testing.T) []share.Bar {
	t.Helper()
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	var out []share.Bar
	for i, n := range []float64{36000, 36500, 37000, 36900, 37400, 37900} {
		b := share.Bar{
			Record: string(rune('a' + i)), Kind: pull.Tension, Rig: r.BarOn(i >= 3),
			Bar:   specimen.Specimen{Melt: "M1", Alloy: "C90500", Diameters: []si.Length{12.5 * si.Millimetre}},
			State: pull.State{Outcome: pull.Broken},
		}
		b.State.Peak.Specimen = si.Force(n)
		b.State.Zero.Set = true
		out = append(out, b)
	}
	return out
}

// By hand: means of 36.5 and 37.4 kN; share 37.4/(36.5 + 37.4) = 0.506089.
func TestOf(t *testing.T) {
	f, err := share.Of(six(t))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Share-37.4/73.9) > 1e-12 || f.Near.N != 3 || f.Far.N != 3 || len(f.Remarks) != 0 {
		t.Errorf("%+v", f)
	}
}

// The share of the rig file does not enter: with another one every force on the
// specimen is another, and the share found the same.
func TestOfDoesNotHangOnTheNominalShare(t *testing.T) {
	bars := six(t)
	want, err := share.Of(bars)
	if err != nil {
		t.Fatal(err)
	}
	for i := range bars[:2] { // half of them after the rig file was corrected
		r := *bars[i].Rig
		r.Path.Share, r.Path.ShareTol, r.Path.ShareFound = 0.52, 0.01, true
		bars[i].State.Peak.Specimen *= 0.52 / 0.5
		bars[i].Rig = &r
	}
	got, err := share.Of(bars)
	if err != nil || math.Abs(got.Share-want.Share) > 1e-12 || math.Abs(got.Expanded-want.Expanded) > 1e-12 {
		t.Errorf("%+v, want %+v; %v", got, want, err)
	}
}

func TestOfRefusesWhatIsNotAlike(t *testing.T) {
	other := func(b *share.Bar, change func(*rig.Rig)) {
		r := *b.Rig
		change(&r)
		b.Rig = &r
	}
	for name, c := range map[string]struct {
		change func(*share.Bar)
		why    string
	}{
		"melt":      {func(b *share.Bar) { b.Bar.Melt = "M2" }, `melt "M2", and a has "M1"`},
		"no melt":   {func(b *share.Bar) { b.Bar.Melt = "" }, "melt"},
		"alloy":     {func(b *share.Bar) { b.Bar.Alloy = "C95400" }, "like bars of one stock"},
		"section":   {func(b *share.Bar) { b.Bar.Diameters = nil }, "section was not measured"},
		"let off":   {func(b *share.Bar) { b.State.Outcome = pull.LetOff }, "no break was seen"},
		"ended":     {func(b *share.Bar) { b.State.Outcome = pull.Ended }, "no break was seen"},
		"proof":     {func(b *share.Bar) { b.Kind = pull.Proof }, "a proof says nothing"},
		"simulated": {func(b *share.Bar) { b.Bar.Simulated = true }, "simulated and real"},
		"twice":     {func(b *share.Bar) { b.Record = "a" }, "named twice"},
		"peak":      {func(b *share.Bar) { b.State.Peak.Specimen = 0 }, "no peak"},
		"rig":       {func(b *share.Bar) { other(b, func(r *rig.Rig) { r.Name = "another" }) }, "another rig"},
		"ram":       {func(b *share.Bar) { other(b, func(r *rig.Rig) { r.Ram.Area *= 2 }) }, "another ram"},
		"calibration": {func(b *share.Bar) {
			other(b, func(r *rig.Rig) { r.Calibration = &rig.Calibration{ID: "x", At: rig.AtRam} })
		}, "another calibration"},
		"a cell's": {func(b *share.Bar) {
			other(b, func(r *rig.Rig) { r.Calibration = &rig.Calibration{ID: "x", At: rig.AtSpecimen} })
		}, "which has the share in it"},
		"sensor": {func(b *share.Bar) { other(b, func(r *rig.Rig) { r.Sensor.High *= 2 }) }, "another sensor"},
		"arms":   {func(b *share.Bar) { other(b, func(r *rig.Rig) { r.Path.FarArm *= 2 }) }, "another load path"},
		"fixed":  {func(b *share.Bar) { other(b, func(r *rig.Rig) { r.Path.Kind = rig.Fixed }) }, "not stated"},
	} {
		bars := six(t)
		c.change(&bars[4])
		if _, err := share.Of(bars); err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: %v", name, err)
		}
	}
	bars := six(t)
	bars[3].Bar.Melt, bars[4].Bar.Diameters = "M2", nil
	if _, err := share.Of(bars); err == nil || !strings.Contains(err.Error(), "M2") || !strings.Contains(err.Error(), "section") {
		t.Errorf("not all at once: %v", err)
	}
	if _, err := share.Of(six(t)[:4]); err == nil || !strings.Contains(err.Error(), "far side, 2 are the least") {
		t.Errorf("one on the far side: %v", err)
	}
	if _, err := share.Of(nil); err == nil {
		t.Error("nothing was taken")
	}
}

func TestOfRemarks(t *testing.T) {
	for name, c := range map[string]struct {
		change func([]share.Bar) []share.Bar
		want   string
	}{
		"stock":     {each(func(b *share.Bar) { b.Bar.Melt = "" }), "is your word"},
		"simulated": {each(func(b *share.Bar) { b.Bar.Simulated = true }), "no metal was broken"},
		"few":       {func(b []share.Bar) []share.Bar { return b[1:5] }, "3 bars a side are advised"},
		"sizes":     {func(b []share.Bar) []share.Bar { b[1].Bar.Diameters = []si.Length{0.012}; return b }, "sections differ"},
		"gaps":      {func(b []share.Bar) []share.Bar { b[1].State.Gaps = 1; return b }, "b: the force was out of sight"},
		"no zero":   {func(b []share.Bar) []share.Bar { b[1].State.Zero.Set = false; return b }, "b: no zero"},
		"steps":     {each(func(b *share.Bar) { b.State.Eye = &pull.Eye{Error: 1000} }), "a finer dial"},
		"scatter":   {func(b []share.Bar) []share.Bar { b[1].State.Peak.Specimen /= 20; return b[1:5] }, "scatter too much"},
		"flat": {each(func(b *share.Bar) {
			r := *b.Rig
			r.Path.Bearing, r.Path.BearingWide = "flat", 0.02
			b.Rig = &r
		}), "± 0.0455 goes away from the bar"},
	} {
		f, err := share.Of(c.change(six(t)))
		if err != nil || !strings.Contains(strings.Join(f.Remarks, "\n"), c.want) {
			t.Errorf("%s: %q, %v", name, f.Remarks, err)
		}
	}
}

func each(change func(*share.Bar)) func([]share.Bar) []share.Bar {
	return func(bars []share.Bar) []share.Bar {
		for i := range bars {
			change(&bars[i])
		}
		return bars
	}
}
