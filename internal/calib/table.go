package calib

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// TableOptions settle what a table of points leaves open.
type TableOptions struct {
	At            rig.Place // what the reference is: a pressure at the gauge, else a force
	ReferenceUnit string    // of numbers without one; wins over the header's
	GaugeUnit     string
	Zero          *float64 // raw number at no load; nil: from rows with the reference 0
}

// Table is a table of points as understood.
type Table struct {
	Points    []Point
	Zero      float64 // raw
	ZeroAfter *float64
	// ReferenceUnit and GaugeUnit are those of the columns; empty: not stated.
	ReferenceUnit, GaugeUnit string
}

// A TableFault is one thing wrong in a table.
type TableFault struct {
	Line      int // from 1; 0: the whole
	Why, Want string
}

// TableError holds what is wrong in a table, in the order of its lines.
type TableError struct{ Faults []TableFault }

func (e *TableError) Error() string {
	var b strings.Builder
	for i, f := range e.Faults {
		if i > 0 {
			b.WriteByte('\n')
		}
		if f.Line > 0 {
			fmt.Fprintf(&b, "line %d: ", f.Line)
		}
		b.WriteString(f.Why)
		if f.Want != "" {
			b.WriteString("; want " + f.Want)
		}
	}
	return b.String()
}

// What a table can be.
const (
	maxTable  = 1 << 20 // bytes
	mostFault = 20      // told; the rest is mostly the same
	maxCell   = 60      // letters of a cell that are quoted
)

// wantHeader is what a header has.
const wantHeader = "a header with the columns reference and reading (the raw number) or gauge, and as you have them direction and run"

// ReadTable reads a table of points: a line a point under a header, the cells parted
// by commas, semicolons or tabs, lines that begin with # left out. The columns are
// reference (a force, or at the gauge a pressure), reading (the sensor's raw number)
// or gauge (a pressure), direction (rising or falling; without it the points rise up
// to a run's highest and fall after it) and run (a whole number from 1). Units stand
// in the header, "reference [kN]", in the cells, or are given. Rows with the
// reference 0 are the zero: those before the first point the one in force, those
// behind the last one the zero after. The error is a *TableError.
func ReadTable(text []byte, r *rig.Rig, o TableOptions) (*Table, error) {
	t := &tabler{chain: r.Chain(), rig: r, o: o, column: map[string]int{}, unit: map[string]string{}}
	t.read(strings.TrimPrefix(string(text), "\ufeff"))
	if len(t.faults) == 0 {
		t.zero()
	}
	if len(t.faults) > 0 {
		return nil, &TableError{t.faults}
	}
	t.directions()
	t.out.ReferenceUnit, t.out.GaugeUnit = t.unit["reference"], t.unit["gauge"]
	return &t.out, nil
}

type tabler struct {
	chain  rig.Chain
	rig    *rig.Rig
	o      TableOptions
	sep    string
	column map[string]int
	unit   map[string]string
	rows   []row
	faults []TableFault
	out    Table
}

// row is one line as read.
type row struct {
	line      int
	reference float64
	text      string // the reference as it is written, with its unit
	raw       float64
	pressure  si.Pressure // by the sensor's own line
	direction Direction   // "": not stated
	run       int
}

func (t *tabler) fault(line int, want, why string, a ...any) {
	if len(t.faults) < mostFault {
		t.faults = append(t.faults, TableFault{line, fmt.Sprintf(why, a...), want})
	}
}

func (t *tabler) read(text string) {
	if len(text) > maxTable {
		t.fault(0, "the points alone", "the table is larger than %d bytes", maxTable)
		return
	}
	header := false
	n := 0
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case !header:
			header = true
			if !t.header(n, line) {
				return
			}
		case len(t.rows) >= maxPoints:
			t.fault(n, "", "more than %d points", maxPoints)
			return
		default:
			t.row(n, line)
		}
	}
	if !header {
		t.fault(0, wantHeader, "the table is empty")
	} else if len(t.rows) == 0 && len(t.faults) == 0 {
		t.fault(0, "a line a point under the header", "the table has no points")
	}
}

// header understands the first line; false where nothing can be read under it.
func (t *tabler) header(n int, line string) bool {
	t.sep = ","
	for _, s := range []string{"\t", ";"} {
		if strings.Contains(line, s) {
			t.sep = s
			break
		}
	}
	before := len(t.faults)
	for i, cell := range strings.Split(line, t.sep) {
		name, unit := splitUnit(bare(cell))
		switch name {
		case "reference", "reading", "gauge", "direction", "run":
			if _, twice := t.column[name]; twice {
				t.fault(n, "each column once", "the column %s is there twice", name)
			}
			t.column[name], t.unit[name] = i, unit
		}
	}
	if t.o.ReferenceUnit != "" {
		t.unit["reference"] = t.o.ReferenceUnit
	}
	if t.o.GaugeUnit != "" {
		t.unit["gauge"] = t.o.GaugeUnit
	}
	_, reference := t.column["reference"]
	_, reading := t.column["reading"]
	_, gauge := t.column["gauge"]
	if !reference || reading == gauge {
		t.fault(n, wantHeader, "the header %q does not say what is what", shorten(line))
	}
	if why := massOf(t.unit["reference"]); why != "" && t.o.At != rig.AtGauge {
		t.fault(n, "", "the reference in %q is a mass: write %s", shorten(t.unit["reference"]), why)
	}
	if t.unit["reading"] != "" {
		t.fault(n, "the raw number as the board sends it, or a column gauge", "a reading has no unit, and %q is one", shorten(t.unit["reading"]))
	}
	return len(t.faults) == before
}

// splitUnit parts "reference [kN]", "reference (kN)", "reference kN" and
// "reference_kN".
func splitUnit(cell string) (name, unit string) {
	i := strings.IndexAny(cell, " [(_")
	if i < 0 {
		return strings.ToLower(cell), ""
	}
	return strings.ToLower(cell[:i]), strings.Trim(cell[i:], " []()_")
}

// bare is a cell without blanks and quotes around it.
func bare(cell string) string {
	cell = strings.TrimSpace(cell)
	if len(cell) >= 2 && cell[0] == '"' && cell[len(cell)-1] == '"' {
		cell = strings.TrimSpace(cell[1 : len(cell)-1])
	}
	return cell
}

func shorten(s string) string {
	if r := []rune(s); len(r) > maxCell {
		return string(r[:maxCell]) + "…"
	}
	return s
}

func (t *tabler) row(n int, line string) {
	cells := strings.Split(line, t.sep)
	at := func(name string) (string, bool) {
		i, ok := t.column[name]
		if !ok {
			return "", false
		}
		if i >= len(cells) {
			return "", true
		}
		return bare(cells[i]), true
	}
	before := len(t.faults)
	r := row{line: n, run: 1}
	cell, _ := at("reference")
	if v, why := t.quantity(cell, "reference", t.o.At != rig.AtGauge); why != "" {
		t.fault(n, t.wantReference(), "reference: %s", why)
	} else if v < 0 {
		t.fault(n, "a load, without a sign", "reference: %q is under nothing", shorten(cell))
	} else {
		r.reference, r.text = v, t.withUnit(cell, "reference")
	}
	if cell, ok := at("reading"); ok {
		v, why := t.number(cell)
		p, sig := t.chain.Pressure(v)
		switch {
		case why != "":
			t.fault(n, "the number that the board sends, as in 1234", "reading: %s", why)
		case sig != rig.OK:
			t.fault(n, "a reading of a sound sensor, or leave the line out", "reading: %q is %s", shorten(cell), sig)
		}
		r.raw, r.pressure = v, p
	}
	if cell, ok := at("gauge"); ok {
		v, why := t.quantity(cell, "gauge", false)
		if why != "" {
			t.fault(n, `a gauge pressure, as in "120 bar", or 120 under the header gauge [bar]`, "gauge: %s", why)
		}
		r.pressure, r.raw = si.Pressure(v), t.rawOf(si.Pressure(v))
	}
	if cell, ok := at("direction"); ok {
		switch strings.ToLower(cell) {
		case "rising", "up":
			r.direction = Rising
		case "falling", "down":
			r.direction = Falling
		case "":
			if r.reference > 0 {
				t.fault(n, "rising or falling", "direction: empty")
			}
		default:
			if r.reference > 0 {
				t.fault(n, "rising or falling", "direction: %q is none", shorten(cell))
			}
		}
	}
	if cell, ok := at("run"); ok && cell != "" {
		v, err := strconv.Atoi(cell)
		if err != nil || v < 1 || v > 1000 {
			t.fault(n, "a whole number from 1", "run: %q is none", shorten(cell))
		}
		r.run = v
	}
	if len(t.faults) == before {
		t.rows = append(t.rows, r)
	}
}

func (t *tabler) wantReference() string {
	if t.o.At == rig.AtGauge {
		return `a pressure, as in "120 bar", or 120 under the header reference [bar]`
	}
	return `a force, as in "12.5 kN", or 12.5 under the header reference [kN]`
}

// quantity reads a force or a pressure; why is empty where it could be read.
func (t *tabler) quantity(cell, name string, force bool) (v float64, why string) {
	plain, why := t.number(cell)
	text := cell
	switch {
	case why == "" && plain == 0:
		return 0, "" // nothing is nothing in any unit
	case why == "" && t.unit[name] == "":
		return 0, fmt.Sprintf("%q has no unit", shorten(cell))
	case why == "":
		text = strconv.FormatFloat(plain, 'g', -1, 64) + " " + t.unit[name]
	case cell == "":
		return 0, "empty"
	}
	var err error
	if unit := strings.TrimLeft(text, "+-0123456789.,eE "); force && massOf(unit) != "" {
		return 0, fmt.Sprintf("%q is a mass: write %s", shorten(text), massOf(unit))
	}
	if force {
		var f si.Force
		f, err = si.ParseForce(text)
		v = float64(f)
	} else {
		var p si.Pressure
		p, err = si.ParsePressure(text)
		v = float64(p)
	}
	if err != nil {
		return 0, shorten(err.Error())
	}
	return v, ""
}

// withUnit is a cell as it is written, with the unit of its column where it has none.
func (t *tabler) withUnit(cell, name string) string {
	if v, why := t.number(cell); why == "" {
		if strings.Contains(cell, ",") {
			cell = strconv.FormatFloat(v, 'f', -1, 64)
		}
		return cell + " " + t.unit[name]
	}
	return cell
}

// number reads a bare number. A comma is a decimal sign where the cells are parted
// by something else, and where it cannot stand between thousands.
func (t *tabler) number(cell string) (v float64, why string) {
	text := cell
	if whole, part, ok := strings.Cut(cell, ","); ok && t.sep != "," && !strings.ContainsAny(part, ",.") && !strings.Contains(whole, ".") {
		if len(part) == 3 {
			return 0, fmt.Sprintf("in %q the comma may be a decimal sign or stand between thousands: write a point", shorten(cell))
		}
		text = whole + "." + part
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) || math.Abs(v) > 1e15 || strings.ContainsAny(text, "xXpP_") {
		return 0, fmt.Sprintf("%q is no number", shorten(cell))
	}
	return v, ""
}

// rawOf is the raw number of a gauge pressure, by the sensor's straight line.
func (t *tabler) rawOf(p si.Pressure) float64 {
	p0, _ := t.chain.Pressure(0)
	p1, _ := t.chain.Pressure(1)
	return float64((p - p0) / (p1 - p0))
}

// zero finds the zero and makes points of the rows.
func (t *tabler) zero() {
	first, last := -1, -1
	for i, r := range t.rows {
		if r.reference > 0 {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first < 0 {
		t.fault(0, "points under load", "every reference is nothing")
		return
	}
	meanOf := func(rows []row) (raw float64, ok bool) {
		for _, r := range rows {
			raw += r.raw / float64(len(rows))
		}
		return raw, len(rows) > 0
	}
	_, gauge := t.column["gauge"]
	raw, ok := meanOf(t.rows[:first])
	switch {
	case t.o.Zero != nil:
		raw = *t.o.Zero
	case ok:
	case gauge || t.rig.Sensor.Zeroed:
		raw = t.rawOf(0)
	default:
		t.fault(0, "a line with the reference 0 before the first point, or --zero", "no zero: the raw number at no load is not known")
		return
	}
	p0, _ := t.chain.Pressure(raw)
	t.out.Zero = raw
	if after, ok := meanOf(t.rows[last+1:]); ok {
		t.out.ZeroAfter = &after
	}
	for _, r := range t.rows {
		if r.reference > 0 {
			t.out.Points = append(t.out.Points, Point{Reference: r.reference, Gauge: r.pressure - p0, Raw: r.raw, Direction: r.direction, Run: r.run, Text: r.text})
		}
	}
}

// directions fills in what no column says: up to a run's highest the points rise.
func (t *tabler) directions() {
	top := map[int]int{} // run: index of its highest
	for i, p := range t.out.Points {
		if j, ok := top[p.Run]; !ok || p.Reference > t.out.Points[j].Reference {
			top[p.Run] = i
		}
	}
	for i := range t.out.Points {
		if p := &t.out.Points[i]; p.Direction == "" {
			p.Direction = Rising
			if i > top[p.Run] {
				p.Direction = Falling
			}
		}
	}
}
