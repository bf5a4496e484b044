package report

import (
	"fmt"
	"math"

	"draghand/internal/budget"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// figures is a value with three figures that count, and its unit.
func figures(v float64, unit string) string {
	text := si.Number(v, 0)
	if a := math.Abs(v); a > 0 && a < 100 && a-a == 0 {
		text = si.Number(v, min(12, 2-int(math.Floor(math.Log10(a)))))
	}
	if unit == "" {
		return text
	}
	return text + " " + unit
}

// fillCalibration tells by what the forces were reckoned.
func (f *facts) fillCalibration(p *page) {
	c, sys := f.rig.Calibration, f.opt.Units
	if c == nil {
		p.NoCalibration = "None: the forces stand by the rig file alone."
		if f.bare() {
			p.NoCalibration = "None of this program: the forces stand as the imported table has them."
		}
		return
	}
	if !c.Speaks(f.rig.Path.BarFar) {
		p.NoCalibration = "NOT USED: the calibration below was made with the reference on the other side than the bar stood."
	}
	var r rows
	r.add("name", "%s", c.ID)
	r.add("of the rig", "%s", c.Rig)
	if c.Simulated {
		r.add("made on", "a SIMULATED source")
	}
	if !c.Made.IsZero() {
		r.add("made", "%s", c.Made.UTC().Format("2006-01-02"))
	}
	if !c.Due.IsZero() {
		r.add("due", "%s", c.Due.UTC().Format("2006-01-02"))
	}
	r.add("against", "%s", c.Reference)
	cert := "none stated"
	if c.Certificate != "" {
		cert = c.Certificate
	}
	r.add("its certificate", "%s", cert)
	if c.ReferenceU > 0 {
		r.add("its uncertainty", "%s %% of the value (standard, k = 1)", figures(100*c.ReferenceU, ""))
	} else {
		r.add("its uncertainty", "not stated")
	}
	at := placeWords(c.At)
	if c.Far {
		at += ", in the far side's place"
	}
	r.add("it stood", "%s", at)
	unit := "N"
	if c.At == rig.AtGauge {
		unit = "Pa"
	}
	l := c.Line
	line := fmt.Sprintf("value = %s · p", figures(l.Slope, ""))
	if !l.ThroughZero {
		line = fmt.Sprintf("value = %s %s + %s · p", figures(l.Offset, unit), unit, figures(l.Slope, ""))
	}
	r.add("line", "%s, with the gauge pressure p in Pa above the zero and the value in %s", line, unit)
	r.add("points", "%d on the way up, from %s to %s; scatter %s about the line", l.Points, l.Low.Text(sys), l.High.Text(sys), figures(l.SD, unit))
	if k := f.results.Calibration; k != nil {
		in := "the peak lies within it"
		if !k.InRange {
			in = "THE PEAK LIES OUTSIDE IT"
		}
		r.add("range as force on the specimen", "%s to %s: %s", si.Force(k.LowN).Text(sys), si.Force(k.HighN).Text(sys), in)
	}
	if b := c.Rubbing; b != nil {
		r.add("friction found", "%s ± %s (standard)", si.Number(b.Friction, 4), si.Number(b.FrictionU, 4))
		if b.Area > 0 {
			r.add("area found", "%s ± %s (standard)", b.Area.Text(sys), figures(b.AreaU.In(sys).Value, b.AreaU.In(sys).Unit))
		}
	}
	p.Calibration = r
	p.CalibrationClaims = append(tidied(c.Claims), tidied(c.Remarks)...)
	p.CalibrationClaims = append(p.CalibrationClaims, "The single points and their residuals stand in the calibration's own file; the record carries the line alone.")
}

// budgetTable is what the doubt is made of.
type budgetTable struct {
	Unit                      string
	Lines                     []budgetRow
	U, Expanded, K, DoF       string
	Common, Random, Coverage  string
	MonteCarlo, MonteCarloSay string
	Notes                     []string
}

type budgetRow struct {
	Of, Value, U, Dist, DoF, UStress, Share, Kind, Source string
	Bar                                                   float64 // 0 to 100
}

func (f *facts) fillBudget(p *page) {
	b := f.results.Budget
	if b == nil {
		p.NoBudget = "The uncertainty of this result is not stated."
		return
	}
	unit := si.Stress(1).In(f.opt.Units)
	stress := func(pa float64) string { return figures(pa*unit.Value, "") }
	// The ends of an interval to a tenth of u or finer.
	fine := 0
	if u := math.Abs(b.UPa * unit.Value); u > 0 && u-u == 0 {
		fine = max(0, min(9, 1-int(math.Floor(math.Log10(u)))))
	}
	ends := func(pa float64) string { return si.Number(pa*unit.Value, fine) }
	t := &budgetTable{
		Unit: unit.Unit, U: stress(b.UPa), Expanded: stress(b.ExpandedPa), K: si.Number(b.CoverageK, 2), DoF: freedom(b.DoF),
		Common: stress(b.CommonPa), Random: stress(b.RandomPa), Coverage: si.Number(100*b.Coverage, 0), Notes: tidied(b.Notes),
	}
	for i, l := range b.Lines {
		if i == mostRows {
			break
		}
		if f.bare() {
			l = f.ofTable(l)
		}
		kind := "this pull's own"
		if l.Common {
			kind = "common to all pulls"
		}
		t.Lines = append(t.Lines, budgetRow{
			Of: tidy(l.Of), Value: f.shown(l.Value, l.Unit), U: f.shown(l.U, l.Unit), Dist: tidy(string(l.Dist)), DoF: freedom(l.DoF),
			UStress: stress(l.UPa), Share: si.Number(100*l.Fraction, 1), Kind: kind, Source: tidy(l.Source),
			Bar: max(0, min(100, 100*l.Fraction)),
		})
	}
	if m := b.MonteCarlo; m != nil {
		sd := "no standard deviation"
		if m.SDPa != nil {
			sd = "standard deviation " + stress(*m.SDPa)
		}
		t.MonteCarlo = fmt.Sprintf("%s draws, seed %d: mean %s, %s, %s %% of them from %s to %s %s",
			si.Number(float64(m.Draws), 0), m.Seed, ends(m.MeanPa), sd, t.Coverage, ends(m.LowPa), ends(m.HighPa), unit.Unit)
		switch { // the rule of JCGM 101 is nearly always broken where limits of error rule: docs/uncertainty.md
		case m.Agrees:
			t.MonteCarloSay = "The two ways agree (JCGM 101, clause 8)."
		case !b.Apart():
			t.MonteCarloSay = "Both ends lie within a twentieth of U of the first order's, though not so near as JCGM 101, clause 8 asks; where limits of error rule they seldom do."
		default:
			t.MonteCarloSay = fmt.Sprintf("The two ways part by more than a twentieth of U: the better interval is that of the draws, %s to %s %s, which goes by the distributions themselves; the ± stated is of the first order.",
				ends(m.LowPa), ends(m.HighPa), unit.Unit)
		}
	}
	p.Budget = t
}

// ofTable is a line of the budget of an imported table of forces, whose gauge and ram
// are made up: its pressures are told as the forces they stand for.
func (f *facts) ofTable(l budget.Line) budget.Line {
	if l.Unit != "Pa" {
		return l
	}
	if l.Of == "gauge accuracy" {
		l.Of, l.Source = "force of the table", "taken as a limit of error of 1 % of it, since nothing is known of what told it"
		if a := f.rig.Sensor.Accuracy; a != 0.01 {
			l.Source = "limit of error as the rig of the import has it"
		}
	}
	chain, at := f.rig.Chain(), si.Pressure(l.Value)
	l.U = float64(chain.Specimen(at+si.Pressure(l.U)) - chain.Specimen(at))
	l.Value, l.Unit = float64(chain.Specimen(at)), "N"
	return l
}

// freedom is a number of degrees of freedom; nil: without end.
func freedom(v *float64) string {
	if !known(v) {
		return "∞"
	}
	return figures(*v, "")
}

// shown is a value of a budget in the units of display.
func (f *facts) shown(v float64, unit string) string {
	sys := f.opt.Units
	var one si.Shown
	switch unit {
	case "Pa":
		one = si.Pressure(1).In(sys)
	case "N":
		one = si.Force(1).In(sys)
	case "m":
		one = si.Length(1).In(sys)
	case "m2":
		one = si.Area(1).In(sys)
	case "1", "":
		return figures(v, "")
	default:
		return figures(v, tidy(unit))
	}
	return figures(v*one.Value, one.Unit)
}

// how says how the numbers came about.
func (f *facts) how() []string {
	var out []string
	switch c := f.rig.Calibration; {
	case f.head.Dial != nil:
		out = append(out, "The peak was read by eye off a dial gauge; the force on the specimen is reckoned from it by the rig file as given above.")
	case f.bare():
		out = append(out, "The forces are those of the imported table, with its own zero.")
	case c != nil && c.At == rig.AtSpecimen && c.Speaks(f.rig.Path.BarFar):
		out = append(out, "The force on the specimen is the calibration's line at the gauge pressure above the zero; area, friction, share and weight are in that line.")
	case c != nil && c.At == rig.AtRam:
		out = append(out, "The force on the ram is the calibration's line at the gauge pressure above the zero; area and friction are in that line. The share of it that reaches the specimen is the rig file's.")
	case c != nil && c.At == rig.AtGauge:
		out = append(out, "Force on the specimen = c · p · A · (1 ± f), less or plus the weight of moving parts: p the calibration's line at the gauge pressure above the zero, A the ram's effective area, f its seal friction, c the share of the ram's force that reaches the specimen.")
	default:
		out = append(out, "Force on the specimen = c · p · A · (1 ± f), less or plus the weight of moving parts: p the gauge pressure above the zero, A the ram's effective area, f its seal friction, c the share of the ram's force that reaches the specimen.")
	}
	if f.head.Kind != pull.Proof {
		out = append(out, "Stress = force over the smallest section measured before the pull.")
	}
	if f.head.Dial == nil {
		out = append(out, "The peak is the drag hand: the largest force that is no single stray reading. The picture shows the least and the largest reading of each column, so that none is lost; nothing is smoothed.")
	}
	if f.head.Kind == pull.Tension {
		out = append(out, "Tensile strength as in ASTM E8/E8M and ISO 6892-1: the peak over the section, for a bar that broke or faded. Elongation = (Lu − L0)/L0, reduction of area = 1 − Su/S0.")
	}
	if f.results.Budget != nil {
		out = append(out, "Uncertainty by the law of propagation (GUM, JCGM 100), the degrees of freedom by Welch and Satterthwaite, and by Monte Carlo (JCGM 101) beside it.")
	}
	if f.results.Verdict != nil {
		out = append(out, "Held against the minimum by JCGM 106 with a guard band of 1.645 u (more where its degrees of freedom are few), on unrounded values.")
	}
	out = append(out, "The limits are held against the unsafe edge of area, friction and share, so that a part's load is told too high rather than too low.")
	return out
}

// integrity says what the report was made of.
func (f *facts) integrity(check record.Report) []pair {
	var r rows
	r.add("record", "%s", statusWords(check))
	for _, name := range []string{record.SamplesFile, record.HeadFile} {
		sum, size := f.sum(name)
		r.add("SHA-256 of "+name, "%s (%s bytes)", sum, si.Number(float64(size), 0))
	}
	switch c := f.head.Closing; {
	case c == nil:
		r.add("at closing", "never closed: no sum to hold it against")
	case check.SHA256 == "match":
		r.add("at closing", "the readings had the same sum")
	default:
		r.add("at closing", "the readings had another sum: %s", c.SamplesSHA256)
	}
	r.add("lines", "%s can be read, %s are proven as written", si.Number(float64(check.Lines), 0), si.Number(float64(check.ProvenLines), 0))
	r.add("recorded by", "%s", f.head.Program)
	r.add("report by", "%s", f.opt.Program)
	if !f.opt.Made.IsZero() {
		r.add("made", "%s", f.opt.Made.UTC().Format("2006-01-02 15:04:05 UTC"))
	}
	return r
}

func statusWords(c record.Report) string {
	switch c.Status {
	case record.Whole:
		return "whole: every byte of the readings is as it was at closing"
	case record.Unfinished:
		return "unfinished: it was never closed, what is there is intact"
	case record.Damaged:
		return "DAMAGED: something is missing or changed"
	}
	return string(c.Status)
}
