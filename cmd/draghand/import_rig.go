package main

import (
	"fmt"
	"math"
	"strconv"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/sheet"
	"draghand/internal/si"
)

// wanted is the kind of column that is a rig's raw number.
func wanted(r *rig.Rig) sheet.Role {
	switch r.Sensor.Kind {
	case rig.ForceOut:
		return sheet.Force
	case rig.PressureOut:
		return sheet.Pressure
	}
	return sheet.Raw
}

// sends says in words what a rig's sensor sends.
func sends(r *rig.Rig) string {
	switch wanted(r) {
	case sheet.Force:
		return "forces on the ram"
	case sheet.Pressure:
		return "pressures"
	}
	return "raw numbers (" + signalUnit(r) + ")"
}

// signalUnit is what a bare number of the rig's sensor is in.
func signalUnit(r *rig.Rig) string {
	switch {
	case r.Sensor.Bits > 0 || r.Sensor.Kind == rig.Counts:
		return "counts"
	case r.Sensor.Kind == rig.CurrentLoop:
		return "mA"
	}
	return "V"
}

// rigFor is the rig by which a table's numbers become forces: the one named, or
// a small one of its own.
func (im *importer) rigFor(t *sheet.Table) (*rig.Rig, error) {
	load := t.Load()
	if im.rig == nil {
		return im.ownRig(t)
	}
	r := *im.rig
	if load.Role != wanted(&r) {
		return nil, failf(exitUsage, "leave --rig out to import a force as it stands, or name the right column with --column",
			"the column %q is a %s, and the sensor of this rig sends %s", load.Title(), load.Role, sends(&r))
	}
	if load.Role == sheet.Raw && load.Unit != "" && load.Unit != signalUnit(&r) {
		return nil, failf(exitUsage, "name the right column with --column, or the right rig",
			"the column %q is in %s, and the sensor of this rig sends %s", load.Title(), load.Unit, sends(&r))
	}
	r.Source.Rate = rateOf(t)
	return &r, nil
}

// rateOf is the table's rate as a rig states it, 0 where it is not known.
func rateOf(t *sheet.Table) float64 { return min(t.Rate, 1e6) }

// factor is what one of a unit is in SI, as a force or a pressure.
func factor(unit string) float64 {
	if f, err := si.ParseForce("1 " + unit); err == nil {
		return float64(f)
	}
	if p, err := si.ParsePressure("1 " + unit); err == nil {
		return float64(p)
	}
	return math.NaN()
}

// The rig of a table's own. Its ram is a manner of speaking: force on an area
// chosen so that the range fits what a rig may state.
const (
	importName     = record.StandInRig
	importAccuracy = 0.01 // of the reading: nothing is known; the class 1 of a testing machine (ISO 7500-1) stands in
	mostArea       = 0.2  // m²
	leastPressure  = 2000 // Pa at the high end
	headroom       = 1.25 // of the largest value, so that none is above the range
)

// ownRig is a rig that gives back the table's own forces: a sensor of forces on
// a direct path, no zero taken off, no limits.
func (im *importer) ownRig(t *sheet.Table) (*rig.Rig, error) {
	load := t.Load()
	if t.Low == 0 && t.High == 0 {
		return nil, failf(exitInput, "name another column with --column force=NAME, or look at the file", "the column %q is zero in every row: no force was measured", load.Title())
	}
	unit := factor(load.Unit) // N of one
	switch load.Role {
	case sheet.Force:
	case sheet.Stress:
		a := im.bar.Area()
		if a <= 0 {
			return nil, failf(exitUsage, `give its section with --diameter "12.5 mm" or --section "6 x 3 mm"`, "the column %q is a stress: without the specimen's section it is no force", load.Title())
		}
		unit *= float64(a)
	case sheet.Pressure:
		return nil, failf(exitUsage, "name the rig with --rig FILE", "the column %q is a pressure: without the rig's ram and path it is no force", load.Title())
	default:
		return nil, failf(exitUsage, "name the rig with --rig FILE, or give the unit with --unit force=kN", "the column %q is a raw number: without a rig it is no force", load.Title())
	}
	base, err := exampleRig()
	if err != nil {
		return nil, err
	}
	most := max(math.Abs(t.Low), math.Abs(t.High)) * unit * headroom
	area := min(max(most/leastPressure, 1e-5), mostArea)
	r := &rig.Rig{
		Name: importName,
		Ram:  rig.Ram{Area: si.Area(area), Role: rig.SensorRam},
		Sensor: rig.Sensor{
			Kind: rig.ForceOut, UnitFactor: unit, Zeroed: true, Accuracy: importAccuracy, AccuracyOfReading: true,
			Low: max(si.Pressure(min(t.Low*unit*headroom, 0)/area), -si.Bar), High: si.Pressure(most / area),
		},
		Source: rig.Source{Separator: ",", Columns: []string{"raw"}, Rate: rateOf(t)},
		Path:   rig.Path{Kind: rig.Direct, Share: 1},
		Alarm:  base.Alarm,
		Units:  sysOf(load.Unit),
	}
	if err := r.Validate(); err != nil {
		return nil, failf(exitInput, "see that the unit is right", "forces up to %s cannot be a rig's: %w", si.Force(most/headroom).Text(r.Units), err)
	}
	return r, nil
}

// converter makes the raw text of a row: the table's own, or in the rig's unit
// where that is another.
func converter(t *sheet.Table, r *rig.Rig) func(*sheet.Row) []byte {
	scale := 1.0
	if role := t.Load().Role; r.Name != importName && (role == sheet.Force || role == sheet.Pressure) {
		scale = factor(t.Load().Unit) / r.Sensor.UnitFactor
	}
	return func(row *sheet.Row) []byte {
		switch {
		case row.Load != row.Load:
			return []byte("nan")
		case scale == 1 && len(row.LoadText) <= maxRaw:
			return []byte(row.LoadText)
		}
		return strconv.AppendFloat(nil, row.Load*scale, 'g', -1, 64)
	}
}

// scaled says whether the numbers are converted on their way into the record.
func scaled(t *sheet.Table, r *rig.Rig) (string, bool) {
	role := t.Load().Role
	if r.Name == importName || role != sheet.Force && role != sheet.Pressure {
		return "", false
	}
	f := factor(t.Load().Unit) / r.Sensor.UnitFactor
	return fmt.Sprintf("numbers are converted to the unit of the rig's sensor: times %g", f), f != 1
}
