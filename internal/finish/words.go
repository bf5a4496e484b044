package finish

import (
	"fmt"
	"strings"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

func label(id FieldID, shape specimen.Shape) string {
	switch id {
	case FieldDiameters:
		if shape != specimen.Round {
			return "final section"
		}
		return "final diameter"
	case FieldGauge:
		return "final gauge"
	case FieldFailed:
		return "failed part"
	}
	return string(id)
}

// hint is an example of what to write.
func (f *Form) hint(id FieldID) string {
	us := f.sys == si.US
	pick := func(a, b string) string {
		if us {
			return a
		}
		return b
	}
	switch id {
	case FieldDiameters:
		what := "at the break, the halves put together: "
		switch f.head.Specimen.Shape {
		case specimen.Rectangular:
			return what + pick("0.201 x 0.094 in", "5.1 x 2.4 mm")
		case specimen.Tube:
			return what + pick("tube 0.441 x 0.051 in", "tube 11.2 x 1.3 mm")
		}
		return what + pick("0.386 in; 0.385 in", "9.81 mm; 9.79 mm")
	case FieldGauge:
		return "between the marks, the halves put together: " + pick("2.31 in", "58.7 mm")
	case FieldWhere:
		return "middle is the middle half between the marks"
	case FieldLooks:
		return "one or more, by commas: flat, coarse"
	case FieldFailed:
		return "of the rig, if one gave way: upper pin"
	case FieldDial:
		return "what a dial beside it stood at, at the peak: " + pick("5200 psi ± 50 psi", "358 bar ± 3 bar")
	case FieldMinimum:
		return "what the strength must reach, or none: " + pick("40 ksi from the drawing", "275 MPa from the drawing")
	case FieldPhotos:
		return "file names, by semicolons: break-1.jpg; break-2.jpg"
	}
	return ""
}

// choices of a field; nil where it is free.
func (f *Form) choices(id FieldID) []string {
	var out []string
	switch id {
	case FieldWhere:
		for _, w := range specimen.Places() {
			out = append(out, string(w))
		}
	case FieldLooks:
		for _, l := range specimen.FractureLooks() {
			out = append(out, string(l))
		}
	case FieldFailed:
		if r := f.head.Rig; r != nil {
			for _, l := range r.Limits {
				out = append(out, l.Name)
			}
		}
	case FieldMinimum:
		for _, m := range f.mins {
			out = append(out, m.Strength.Text(f.sys)+" from "+m.From)
		}
	}
	return out
}

// text is a field as its figures would be written, in the units of display.
func (f *Form) text(id FieldID) string {
	a := &f.after
	switch id {
	case FieldDiameters:
		return specimen.Sizes{Shape: f.head.Specimen.Shape, Diameters: a.Diameters, Sections: a.Sections}.Text(f.sys)
	case FieldGauge:
		if a.GaugeLength > 0 {
			return a.GaugeLength.Text(f.sys)
		}
	case FieldWhere:
		return string(a.Where)
	case FieldLooks:
		return strings.Join(texts(a.Looks), ", ")
	case FieldFailed:
		return a.Failed
	case FieldDial:
		return dialText(f.dial, f.sys)
	case FieldMinimum:
		return minimumText(a, f.sys)
	case FieldPhotos:
		return strings.Join(a.Photos, "; ")
	}
	return ""
}

// understood is a field as it was understood, with what follows from it.
func (f *Form) understood(id FieldID) string {
	a, bar := &f.after, &f.head.Specimen
	text := f.text(id)
	switch {
	case text == "" && f.texts[id] != "":
		return None
	case text == "":
		return ""
	case id == FieldGauge && bar.GaugeLength > 0:
		return fmt.Sprintf("%s: %.1f %% longer than %s", text, 100*specimen.Elongation(bar.GaugeLength, a.GaugeLength), bar.GaugeLength.Text(f.sys))
	case id == FieldDial:
		if p, _ := onSpecimen(f.dial, f.head.Config().Rig); f.dial.At != rig.AtSpecimen {
			return text + ": " + p.Text(f.sys) + " on the specimen"
		}
	case id == FieldMinimum && f.texts[id] == "":
		return text + ", by the table of alloys"
	}
	return text
}

func minimumText(a *specimen.After, sys si.System) string {
	switch {
	case a.Minimum == 0:
		return ""
	case a.MinimumFrom == "":
		return a.Minimum.Text(sys)
	}
	return a.Minimum.Text(sys) + " from " + a.MinimumFrom
}

func dialText(d *record.Dial, sys si.System) string {
	switch {
	case d == nil:
		return ""
	case d.Pressure != nil:
		out := d.Pressure.Text(sys)
		if d.PressureError != nil {
			out += " ± " + d.PressureError.Text(sys)
		}
		return out
	case d.Force != nil:
		out := d.Force.Text(sys)
		if d.ForceError != nil {
			out += " ± " + d.ForceError.Text(sys)
		}
		return out + " at " + string(d.At)
	}
	return ""
}

func texts[T ~string](of []T) []string {
	var out []string
	for _, v := range of {
		out = append(out, string(v))
	}
	return out
}
