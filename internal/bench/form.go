package bench

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// Setup is what the fields say once they are understood. A field with a fault
// is left at nothing.
type Setup struct {
	Kind  pull.Kind
	Proof watch.Proof
	Bar   specimen.Specimen
}

// form is what the fields are read from. It is a value: what is read of it hangs
// on nothing else.
type form struct {
	texts map[FieldID]string
	units si.System
	rig   *rig.Rig // nil: none is read
	// rigErr is why the rig cannot be read, loading that it is being read.
	rigErr    error
	loading   bool
	sourceErr error // why the source named cannot be taken, not why it failed
	alloys    specimen.Table
}

// fieldIDs are the fields of a kind, in order.
func fieldIDs(kind pull.Kind) []FieldID {
	out := []FieldID{FieldRig, FieldSource, FieldKind}
	if kind == pull.Proof {
		out = append(out, FieldTarget, FieldHold)
	}
	return append(out, FieldMelt, FieldTags, FieldSpecimen, FieldSide, FieldAlloy, FieldDiameters, FieldGauge, FieldYield, FieldExpect, FieldStock)
}

// known says that there is such a field.
func known(id FieldID) bool { return slices.Contains(fieldIDs(pull.Proof), id) }

// kind is what the field of the kind says; tension where it says nothing. ok is
// false where it is none.
func (f *form) kind() (kind pull.Kind, ok bool) {
	text := strings.ToLower(f.texts[FieldKind])
	if text == "" {
		return pull.Tension, true
	}
	for _, k := range []pull.Kind{pull.Tension, pull.Crush, pull.Proof} {
		if text == string(k) {
			return k, true
		}
	}
	return pull.Tension, false
}

// source is where readings are to come from: as written, else as the rig file
// says.
func (f *form) source() string {
	if s := f.texts[FieldSource]; s != "" {
		return s
	}
	if f.rig != nil {
		return f.rig.Source.From
	}
	return ""
}

// read understands every field.
func (f *form) read() (fields []Field, s Setup) {
	s.Kind, _ = f.kind()
	for _, id := range fieldIDs(s.Kind) {
		if id == FieldSide && f.texts[id] == "" && (f.rig == nil || f.rig.TakesSides() != nil) {
			continue // there is nothing to choose
		}
		field := Field{ID: id, Label: label(id), Hint: hint(id, s.Kind), Text: f.texts[id]}
		read, err := f.one(id, &s)
		if err != nil {
			field.Fault = sentence(err)
		} else if read != field.Text {
			field.Read = read
		}
		switch id {
		case FieldSide:
			field.Choices = []string{string(specimen.Near), string(specimen.Far)}
		case FieldKind:
			field.Choices = []string{string(pull.Tension), string(pull.Crush), string(pull.Proof)}
		}
		fields = append(fields, field)
	}
	return fields, s
}

// sentence is an error on one line, with what to do behind it.
func sentence(err error) string {
	text := plainly(err)
	if next := nextOf(err); next != "" && !errors.As(err, new(*rig.FileError)) {
		text = tidy(text + ": " + next)
	}
	return text
}

// plainly is an error on one line. Of the faults of a rig file it is the first.
func plainly(err error) string {
	var faults *rig.FileError
	if errors.As(err, &faults) && len(faults.Faults) > 0 {
		first := (&rig.FileError{File: faults.File, Faults: faults.Faults[:1]}).Error()
		if more := len(faults.Faults) - 1; more > 0 {
			first += fmt.Sprintf("; and %s: draghand rig check names them all", many(more, "more fault"))
		}
		return tidy(first)
	}
	return tidy(err.Error())
}

// nextOf is what an error says to do.
func nextOf(err error) string {
	var hint interface{ Next() string }
	if errors.As(err, &hint) {
		return hint.Next()
	}
	return ""
}

// one reads a field into s and says how it was understood; empty where it is the
// text.
func (f *form) one(id FieldID, s *Setup) (read string, err error) {
	text := f.texts[id]
	switch id {
	case FieldRig:
		return f.readRig()
	case FieldSource:
		return f.source(), f.sourceErr
	case FieldKind:
		return f.readKind(s.Kind)
	}
	if text == "" {
		if id == FieldExpect {
			return f.fromTable(s), nil
		}
		return "", nil
	}
	bar := &s.Bar
	switch id {
	case FieldTarget:
		var v si.Force
		if v, err = si.ParseForce(text); err == nil {
			if err = f.reachable(v); err == nil {
				s.Proof.Target = v
			}
			read = v.Text(f.units)
		}
	case FieldHold:
		if s.Proof.Hold, err = ParseHold(text); err == nil {
			read = s.Proof.Hold.String()
		}
	case FieldMelt:
		bar.Melt, err = name(text)
	case FieldSpecimen:
		bar.ID, err = name(text)
	case FieldSide:
		if bar.Side, err = ParseSide(text); err == nil {
			read = string(bar.Side)
			if f.rig != nil {
				err = FitsSide(bar.Side, f.rig)
			}
		}
	case FieldAlloy:
		bar.Alloy, err = name(text)
	case FieldTags:
		if bar.Tags, err = ParseTags(text); err == nil {
			read = strings.Join(bar.Tags, ", ")
		}
	case FieldDiameters:
		var sizes specimen.Sizes
		if sizes, err = specimen.ParseSizes(text); err == nil {
			bar.Set(sizes)
			read = SizesText(*bar, f.units)
		}
	case FieldGauge:
		if bar.GaugeLength, err = si.ParseLength(text); err == nil {
			read = bar.GaugeLength.Text(f.units)
			if bar.GaugeLength == 0 {
				err = errors.New("a gauge length of nothing: leave it empty where there are no marks")
			} else {
				err = specimen.Specimen{GaugeLength: bar.GaugeLength}.Validate()
			}
		}
	case FieldYield:
		read, err = f.readYield(text, s)
	case FieldExpect:
		if bar.ExpectLow, bar.ExpectHigh, err = ParseExpect(text); err == nil {
			read = ExpectText(bar.ExpectLow, bar.ExpectHigh, f.units)
		}
	case FieldStock:
		if bar.Stock, err = ParseStock(text); err == nil && bar.Stock != text {
			read = bar.Stock
		}
	}
	if err != nil {
		s.clear(id)
	}
	return read, err
}

// clear takes back what a field with a fault has set.
func (s *Setup) clear(id FieldID) {
	switch id {
	case FieldTarget:
		s.Proof.Target = 0
	case FieldHold:
		s.Proof.Hold = 0
	case FieldMelt:
		s.Bar.Melt = ""
	case FieldSpecimen:
		s.Bar.ID = ""
	case FieldSide:
		s.Bar.Side = ""
	case FieldAlloy:
		s.Bar.Alloy = ""
	case FieldTags:
		s.Bar.Tags = nil
	case FieldDiameters:
		s.Bar.Set(specimen.Sizes{})
	case FieldGauge:
		s.Bar.GaugeLength = 0
	case FieldYield:
		s.Bar.Yield = 0
	case FieldExpect:
		s.Bar.ExpectLow, s.Bar.ExpectHigh, s.Bar.ExpectFrom = 0, 0, ""
	case FieldStock:
		s.Bar.Stock = ""
	}
}

// fromTable fills what a bar is expected to break at from the table of alloys
// where nobody stated it, and says so.
func (f *form) fromTable(s *Setup) string {
	if s.Kind != pull.Tension {
		return ""
	}
	e, ok := f.alloys.Strength(s.Bar.Alloy)
	if !ok {
		return ""
	}
	s.Bar.ExpectLow, s.Bar.ExpectHigh, s.Bar.ExpectFrom = e.Low, e.High, e.Words()
	return ExpectText(e.Low, e.High, f.units) + ", by the table: " + e.Words()
}

func (f *form) readRig() (string, error) {
	switch {
	case f.rigErr != nil:
		return "", f.rigErr
	case f.loading:
		return "being read", nil
	case f.rig != nil:
		return f.rig.Name, nil
	}
	return "", nil
}

func (f *form) readKind(kind pull.Kind) (string, error) {
	if _, ok := f.kind(); !ok {
		return "", fmt.Errorf("%q is no kind of pull: write tension, crush or proof", f.texts[FieldKind])
	}
	if kind == pull.Crush && f.rig != nil {
		return string(kind), Crushable(f.rig)
	}
	return string(kind), nil
}

// reachable refuses a target that is none, or past what the rig stands.
func (f *form) reachable(v si.Force) error {
	if !(v > 0) {
		return fmt.Errorf("%s is nothing to hold: leave it empty, or write it like 20 kN", v.Text(f.units))
	}
	if f.rig == nil {
		return nil
	}
	side, _ := ParseSide(f.texts[FieldSide])
	return Reachable(v, f.rig.BarOn(side == specimen.Far))
}

// readYield needs a section: without it a stress is no force. Of a tension bar
// the section is asked for in any case.
func (f *form) readYield(text string, s *Setup) (string, error) {
	v, err := si.ParseStress(text)
	if err != nil {
		return "", err
	}
	s.Bar.Yield = v
	switch {
	case !(v > 0):
		return "", fmt.Errorf("%s is no stress to yield at: leave it empty where it is not known", v.Text(f.units))
	case s.Kind != pull.Tension && f.texts[FieldDiameters] == "":
		return "", errors.New("without a diameter it is no force: write the diameter, or leave this empty")
	}
	return v.Text(f.units), specimen.Specimen{Yield: v}.Validate()
}

// name bounds what a person calls a thing.
func name(text string) (string, error) {
	if len(text) > maxName {
		return "", fmt.Errorf("longer than %d bytes: shorten it", maxName)
	}
	return text, nil
}
