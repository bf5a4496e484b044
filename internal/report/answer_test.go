package report

import (
	"bytes"
	"strings"
	"testing"

	"draghand/internal/budget"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// What does not count says so before any figure, in words, sign and colour; it has
// no strength for a headline and nothing green, on the page and in the picture.
func TestDoesNotCount(t *testing.T) {
	grip := func(h *record.Head) {
		h.Finished = []record.Finished{{At: h.Started, After: specimen.After{Where: specimen.InGrip, Minimum: 100e6, MinimumFrom: "the drawing"}}}
	}
	part := func(h *record.Head) {
		h.Finished = []record.Finished{{At: h.Started, After: specimen.After{Where: specimen.MidGauge, Failed: "upper pin"}}}
	}
	unseen := func(f *facts) { // the strength stands in the results, and is a lower bound
		no := strength.CountsNot
		f.results.Counts, f.results.CountsBecause = &no, []string{"the sensor was over its range"}
	}
	for name, c := range map[string]struct {
		change func(*record.Head)
		after  func(*facts)
		why    string
	}{
		"grip":       {grip, nil, "it broke in the grip"},
		"part":       {part, nil, "part of the rig gave way: upper pin"},
		"over range": {nil, unseen, "the sensor was over its range"},
	} {
		t.Run(name, func(t *testing.T) {
			f := gather(made(t, c.change, up(900, false)), options)
			if c.after != nil {
				c.after(f)
			}
			if name == "grip" && (f.results.Verdict == nil || f.results.Verdict.Says != strength.Passes) {
				t.Fatalf("verdict %+v: there is nothing green to be kept away", f.results.Verdict)
			}
			var b bytes.Buffer
			must(t, f.write(&b))
			outline(t, b.Bytes())
			_, text, _ := strings.Cut(b.String(), `<section id="answer"`)
			not, why := strings.Index(text, "DOES NOT COUNT"), strings.Index(text, c.why)
			big, least := strings.Index(text, `class="big"`), strings.Index(text, `<p class="what">at least</p>`)
			if not < 0 || why < not || least < why || big < least {
				t.Errorf("DOES NOT COUNT at %d, %q at %d, at least at %d, the figure at %d", not, c.why, why, least, big)
			}
			if !strings.Contains(text, `<p class="not"`) || strings.Contains(text, `class="verdict pass"`) || strings.Count(text, "DOES NOT COUNT") != 1 {
				t.Error("the dress of a good one")
			}
			words := f.titleWords()
			if !strings.Contains(words, "DOES NOT COUNT: "+c.why) || strings.Contains(words, "tensile strength") || !strings.Contains(words, "at least: ") {
				t.Errorf("the picture says %q", words)
			}
		})
	}
}

// A damaged record has no strength for a headline.
func TestDamagedHeadline(t *testing.T) {
	f := judged(t)
	no := strength.CountsNot
	f.results.Counts, f.damage = &no, &record.DamageError{Line: 9, Reason: "cut off"}
	if a := f.answer(); !a.Not || strings.Contains(a.Label, "tensile") || !strings.Contains(a.Note, "not known") || a.VerdictKind != "open" {
		t.Errorf("%+v", a)
	}
}

// What ± means is said first without a term of the trade.
func TestPlainWords(t *testing.T) {
	a := judged(t).answer()
	if want := "95 times in 100 the true strength lies within ± 7 MPa of this"; !strings.HasPrefix(a.Plain, want) || !strings.Contains(a.Note, "k = 2.02") {
		t.Errorf("%q, then %q; want %q", a.Plain, a.Note, want)
	}
}

// Proof and crush have the headline of the screen after the pull.
func TestHeadlines(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	f := gather(made(t, direct, up(900, true)), options)
	f.results.FirstYield = nil
	f.results.Peak.StressPa = v(210e6)
	if a := f.answer(); a.Label != "stress on the block at the peak" || a.Value != "210 MPa" {
		t.Errorf("%+v", a)
	}
	f.results.FirstYield = &strength.FirstYield{TS: 9, SpecimenN: 20e3, StressPa: v(160e6), Method: pull.BySlope}
	if a := f.answer(); a.Label != "first yield of the block" || a.Value != "160 MPa" || !strings.Contains(a.Note, "at the peak: 210 MPa") {
		t.Errorf("%+v", a)
	}
	if words := f.titleWords(); !strings.Contains(words, "first yield of the block: 160 MPa; at the peak: 210 MPa") {
		t.Errorf("the picture says %q", words)
	}
	f.head.Kind = pull.Proof
	f.results.Hold = &strength.Hold{TargetN: 20e3, HeldS: 59.97, AskedS: v(60)}
	if a := f.answer(); a.Label != "held, NOT LONG ENOUGH" || a.Value != "20.00 kN for 59 s" {
		t.Errorf("%+v", a)
	}
}

// Long names leave room for each other, and every mark of a crush has a letter of
// its own.
func TestPictureWords(t *testing.T) {
	f := gather(made(t, func(h *record.Head) {
		h.Specimen.Melt, h.Specimen.ID = strings.Repeat("m", 90), strings.Repeat("i", 90)
	}, up(900, false)), options)
	if words := f.titleWords(); !strings.Contains(words, "iii…") || !strings.Contains(words, "C90500") || !strings.Contains(words, "tensile strength: ") {
		t.Errorf("%q", words)
	}
	g := &figure{Marks: []mark{
		{Letter: "A", Kind: "zero", What: "the zero was taken"},
		{Letter: "B", Kind: "yield", What: "the block first gave", When: "9.00 s", Force: "20 kN"},
		{Letter: "C", Kind: "peak", What: "peak", When: "13.00 s", Force: "31 kN"},
		{Letter: "D", Kind: "break", What: "break", When: "13.01 s", Force: "31 kN"},
	}}
	if words, want := g.markWords(), "B  the block first gave: 9.00 s, 20 kN     C  peak: 13.00 s, 31 kN\nD  break: 13.01 s, 31 kN"; words != want {
		t.Errorf("%q, want %q", words, want)
	}
}

// The doubt of an imported table is told of its forces: there is no gauge.
func TestTableHasNoGauge(t *testing.T) {
	f := judged(t)
	f.rig.Sensor.Zeroed, f.rig.Sensor.Kind, f.rig.Sensor.Accuracy = true, rig.ForceOut, 0.01
	f.rig.Sensor.UnitFactor = 1000
	f.rig.Calibration, f.rig.Path, f.rig.Ram = nil, rig.Path{Kind: rig.Direct, Share: 1}, rig.Ram{Area: 42e-4, Role: rig.SensorRam}
	f.results.Budget.Lines = []budget.Line{
		{Of: "gauge accuracy", Value: 10e6, U: 0.1e6, Unit: "Pa", Source: "the rig file's"},
		{Of: "noise at the peak", Value: 10e6, U: 1e3, Unit: "Pa", Source: "the trace"},
		{Of: "diameter", Value: 12.5e-3, U: 5.8e-6, Unit: "m"},
	}
	var p page
	f.fillBudget(&p)
	l := p.Budget.Lines // 10 MPa on 42 cm² are 42 kN, 0.1 MPa 420 N, 1 kPa 4.2 N
	if l[0].Of != "force of the table" || l[0].Value != "42.0 kN" || l[0].U != "0.420 kN" || strings.Contains(l[0].Source, "rig file") || l[1].U != "0.00420 kN" || l[2].Of != "diameter" {
		t.Errorf("%+v", l)
	}
}
