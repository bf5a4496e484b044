package rig

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"draghand/internal/si"
)

// Describe is the rig as understood, for the person who wrote the file: what
// every number became, at which gauge pressure each alarm comes, and what to
// look at. It holds no control characters but line feeds.
func (r *Rig) Describe(sys si.System) string {
	w := &page{sys: sys}
	w.head(r.Name)
	if len(r.Bounds()) == 0 {
		w.line("NO PART OF THIS RIG HAS A KNOWN LIMIT: nothing can warn you of an overload.")
	}
	w.ram(r)
	w.sensor(r)
	w.source(r.Source)
	w.path(r)
	if r.Drive != nil {
		w.drive(r.Drive)
	}
	w.limits(r)
	w.trip(r.Alarm.Trip)
	w.offerProof(r)
	w.head("look at")
	for _, c := range r.Cautions(sys) {
		w.line("- " + c)
	}
	w.line("- the program warns; it is no safety device")
	return w.String()
}

// page builds the text.
type page struct {
	strings.Builder
	sys si.System
}

func (w *page) head(s string) {
	if w.Len() > 0 {
		w.WriteByte('\n')
	}
	w.WriteString(s + "\n")
}

func (w *page) line(s string) { w.WriteString("  " + s + "\n") }

func (w *page) item(name, format string, args ...any) {
	w.line(pad(name, 15) + fmt.Sprintf(format, args...))
}

// pad fills up to a width with spaces, on the left for a negative one.
func pad(s string, width int) string {
	n := utf8.RuneCountInString(s)
	switch {
	case width >= 0:
		return s + strings.Repeat(" ", max(0, width-n))
	default:
		return strings.Repeat(" ", max(0, -width-n)) + s
	}
}

// fine shows a small quantity with three figures that count.
func fine(s si.Shown) string {
	if v := math.Abs(s.Value); v > 0 && v < 100 {
		s.Decimals = max(s.Decimals, min(8, 2-int(math.Floor(math.Log10(v)))))
	}
	return s.String()
}

func (w *page) ram(r *Rig) {
	w.head("ram")
	w.item("area", "%s ± %s (± %s %%)", r.Ram.Area.Text(w.sys), r.Ram.AreaTol.In(w.sys), si.Number(100*float64(r.Ram.AreaTol/r.Ram.Area), 2))
	if r.Ram.Role == ActuatorRam {
		w.item("serves as", "actuator, pumped itself: force while loading = p·A·(1 − f)")
	} else {
		w.item("serves as", "sensor, closed off and pushed in: force while loading = p·A·(1 + f)")
	}
	w.item("friction f", "%s ± %s", si.Number(r.Ram.Friction, 3), si.Number(r.Ram.FrictionBand, 3))
	c := r.Chain()
	if f := r.Ram.RatedForce; f > 0 {
		w.item("rated force", "%s, at %s", f.Text(w.sys), c.PressureForRam(f).Text(w.sys))
	}
	if p := r.Ram.RatedPressure; p > 0 {
		w.item("rated pressure", "%s, %s on the ram", p.Text(w.sys), c.Ram(p).Text(w.sys))
	}
	if r.Ram.Stroke > 0 {
		w.item("stroke", "%s", r.Ram.Stroke.Text(w.sys))
	}
}

func (w *page) sensor(r *Rig) {
	s, c := &r.Sensor, r.Chain()
	w.head("sensor")
	w.item("kind", "%s", s.words())
	w.item("range", "%s to %s", s.Low.Text(w.sys), s.High.Text(w.sys))
	if s.Proof > 0 {
		w.item("proof pressure", "%s", s.Proof.Text(w.sys))
	} else if s.Kind != ForceOut {
		w.item("proof pressure", "not known")
	}
	if s.AccuracyOfReading {
		w.item("accuracy", "± %s %% of reading", si.Number(100*s.Accuracy, 2))
	} else {
		e := si.Pressure(s.Accuracy) * c.Range()
		w.item("accuracy", "± %s %% of full scale: ± %s at the gauge, ± %s on the specimen", si.Number(100*s.Accuracy, 2), fine(e.In(w.sys)), fine(w.share(r, e).In(w.sys)))
	}
	if s.Bits > 0 && s.Reference > 0 {
		part := ""
		if s.Divider != 1 {
			part = ", " + trim(s.Divider) + " of the sensor's voltage reaches it"
		}
		w.item("converter", "%d bits, code %.0f is %s V%s", s.Bits, s.Divisor, trim(float64(s.Reference)), part)
	} else if s.Bits > 0 {
		w.item("converter", "%d bits", s.Bits)
	}
	if p := c.Step(); p > 0 {
		w.item("one count", "%s at the gauge, %s on the ram, %s on the specimen", fine(p.In(w.sys)), fine(c.Ram(p).In(w.sys)), fine(w.share(r, p).In(w.sys)))
	}
}

// share is a difference of pressure as a difference of force on the specimen:
// the weight falls out.
func (w *page) share(r *Rig, p si.Pressure) si.Force {
	return r.Chain().Ram(p) * si.Force(r.Path.BarShare())
}

// words says the kind in full.
func (s *Sensor) words() string {
	switch s.Kind {
	case Ratiometric:
		return fmt.Sprintf("ratiometric, %s to %s of a supply of %s V", trim(s.SigLow), trim(s.SigHi), trim(float64(s.Supply)))
	case VoltageOut:
		return fmt.Sprintf("voltage, %s V to %s V", trim(s.SigLow), trim(s.SigHi))
	case CurrentLoop:
		t := fmt.Sprintf("current, %s mA to %s mA", trim(1e3*s.SigLow), trim(1e3*s.SigHi))
		if s.Shunt > 0 {
			t += fmt.Sprintf(" over %s ohm", trim(float64(s.Shunt)))
		}
		if s.namur() {
			t += "; valid from 3.8 to 20.5 mA (NAMUR NE 43)"
		}
		return t
	case PressureOut:
		return "the board sends a pressure"
	case ForceOut:
		return "the board sends the ram force, taken as pressure times area"
	}
	return fmt.Sprintf("counts, %s at the low end and %s at the high end of the range", trim(s.SigLow), trim(s.SigHi))
}

// trim writes a number with at most six figures and no trailing zeros.
func trim(v float64) string { return fmt.Sprintf("%.6g", v) }

func (w *page) source(s Source) {
	w.head("source")
	from := s.From
	if from == "" {
		from = "not stated: name one with --from"
	}
	w.item("from", "%s", from)
	w.item("lines", "%s parted by %q, %d baud", strings.Join(s.Columns, " "), s.Separator, s.Baud)
	switch {
	case s.Clock == "":
		w.item("clock", "none on the board: readings get the time they arrive")
	case s.ClockBits == 0:
		w.item("clock", "in %s, never wraps", s.Clock)
	default:
		w.item("clock", "in %s, wraps at 2^%d", s.Clock, s.ClockBits)
	}
	if s.Checksum != "" {
		w.item("checksum", "%s", s.Checksum)
	}
	if s.Rate > 0 {
		w.item("rate", "%s a second", trim(s.Rate))
	}
}

func (w *page) path(r *Rig) {
	p := r.Path
	w.head("path")
	w.item("kind", "%s", string(p.Kind))
	if p.Kind == TwoSided {
		w.item("arms", "specimen %s, far side %s, ± %s", p.SpecimenArm.Text(w.sys), p.FarArm.Text(w.sys), p.ArmTol.In(w.sys))
		bearing := p.Bearing
		if p.BearingWide > 0 {
			bearing += ", " + p.BearingWide.Text(w.sys) + " wide"
		}
		w.item("bears on", "%s", bearing)
	}
	w.item("share", "%s ± %s of the ram force on the specimen", si.Number(p.Share, 4), si.Number(p.ShareTol, 4))
	w.shareFrom(p)
	if p.Weight > 0 {
		does := "taken off the ram force"
		if p.RamPushes == "down" {
			does = "added to the ram force"
		}
		w.item("weight", "%s, %s", p.Weight.Text(w.sys), does)
	}
}

func (w *page) drive(d *Drive) {
	w.head("drive")
	w.item("kind", "%s", d.Kind)
	if d.PerStroke > 0 {
		w.item("per stroke", "%s of ram advance", fine(d.PerStroke.In(w.sys)))
	}
	if d.Stiffness > 0 {
		w.item("stiffness", "%s kN/mm", trim(d.Stiffness/1e6))
	}
}

// where says in words on what a limit acts.
func (p Place) where() string {
	switch p {
	case AtRam:
		return "on the ram"
	case AtSpecimen:
		return "on the specimen's side"
	case AtFar:
		return "on the far side"
	case AtSides:
		return "on each side"
	case AtGauge:
		return "at the gauge"
	}
	return ""
}

// Nearest are the known limits, the one reached first in front.
func (r *Rig) Nearest() []Bound {
	b := r.Bounds()
	slices.SortStableFunc(b, func(a, b Bound) int {
		switch pa, pb := a.PressureAt(r.Alarm.Stop), b.PressureAt(r.Alarm.Stop); {
		case pa < pb:
			return -1
		case pa > pb:
			return 1
		}
		return 0
	})
	return b
}

func (w *page) limits(r *Rig) {
	w.head("limits, nearest first")
	c := r.Chain()
	for i, b := range r.Nearest() {
		first := ""
		if i == 0 {
			first = "  <- nearest"
		}
		w.line(fmt.Sprintf("%s: %s %s%s%s", b.Limit.Name, b.capacity(w.sys), b.Limit.At.where(), b.factor(), first))
		levels := []struct {
			word  string
			level float64
		}{{"caution", r.Alarm.Caution}, {"warning", r.Alarm.Warning}, {"stop", r.Alarm.Stop}}
		if r.Alarm.Stop != 1 {
			levels = append(levels, levels[0])
			levels[3].word, levels[3].level = "allowed", 1
		}
		for _, lv := range levels {
			p := b.PressureAt(lv.level)
			w.line("  " + pad(lv.word, 9) + pad(si.Number(lv.level, 2), -4) +
				pad(p.Text(w.sys), -13) + " gauge" +
				pad(c.Ram(p).Text(w.sys), -14) + " ram" +
				pad(c.Specimen(p).Text(w.sys), -14) + " specimen")
		}
		if b.Limit.Note != "" {
			w.line("  " + b.Limit.Note)
		}
		w.part(b)
		w.proven(b.Limit)
	}
	if len(r.Bounds()) > 0 {
		w.line("The forces are the best estimates at the moment the alarm comes. It comes")
		w.line("early by what area, friction and share may be off, all to the unsafe side.")
	}
	for _, n := range r.UnknownParts() {
		w.line("no known limit: " + n)
	}
}

// capacity is the allowable as text.
func (b Bound) capacity(sys si.System) string {
	if b.Limit.At == AtGauge {
		return si.Pressure(b.Allowable).Text(sys)
	}
	return si.Force(b.Allowable).Text(sys)
}

func (b Bound) factor() string {
	if b.Limit.Factor == 1 {
		return ""
	}
	return fmt.Sprintf(" (capacity / %s)", trim(b.Limit.Factor))
}
