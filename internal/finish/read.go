package finish

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// read understands a field. What it sets before an error is taken back by Set.
func (f *Form) read(id FieldID, text string) error {
	if text == "" {
		if id == FieldMinimum && len(f.mins) == 1 { // the table's again
			f.after.Minimum, f.after.MinimumFrom = f.mins[0].Strength, f.mins[0].From
		}
		return nil
	}
	if text == None {
		return nil
	}
	switch id {
	case FieldDiameters:
		z, err := specimen.ParseSizes(text)
		if err != nil {
			return err
		}
		if z.Limit > 0 {
			return errors.New("leave the ± out: the micrometer's limit of error is that of the sizes before the pull")
		}
		f.after.Diameters, f.after.Sections = z.Diameters, z.Sections
	case FieldGauge:
		g, err := si.ParseLength(text)
		if err != nil {
			return err
		}
		if !(g > 0) {
			return fmt.Errorf("%s is no gauge length: leave it empty where it was not measured", g.Text(f.sys))
		}
		f.after.GaugeLength = g
	case FieldWhere:
		f.after.Where = specimen.Where(known(text, specimen.Places()))
	case FieldLooks:
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' }) {
			if l := specimen.Look(known(w, specimen.FractureLooks())); l != "" && !slices.Contains(f.after.Looks, l) {
				f.after.Looks = append(f.after.Looks, l)
			}
		}
	case FieldFailed:
		f.after.Failed = text
	case FieldDial:
		if err := f.readDial(text); err != nil {
			return err
		}
	case FieldMinimum:
		if err := f.readMinimum(text); err != nil {
			return err
		}
	case FieldPhotos:
		f.after.Photos = splitPhotos(text)
	}
	return f.alone(id)
}

// known is a word of a list as a person may write it, "Cup and cone"; as it is
// written where it is none of the list.
func known[T ~string](text string, list []T) string {
	w := strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == '-' || r == '_' }), "-")
	if slices.Contains(list, T(w)) {
		return w
	}
	return strings.TrimSpace(text)
}

// readDial reads "5200 psi ± 50 psi", "62 kN", "31 kN at specimen".
func (f *Form) readDial(text string) error {
	at := rig.Place("")
	for _, p := range []rig.Place{rig.AtRam, rig.AtSpecimen} {
		for _, way := range []string{" at the ", " at ", " on the ", " on "} {
			if rest, ok := strings.CutSuffix(text, way+string(p)); ok && at == "" {
				text, at = rest, p
			}
		}
	}
	d, err := record.ParseDial(text, at)
	if err != nil {
		return err
	}
	f.dial = &d
	return nil
}

// trimmed takes the words of record.ErrFinished off an error.
func trimmed(err error) error {
	if err == nil {
		return nil
	}
	if rest, ok := strings.CutPrefix(err.Error(), record.ErrFinished.Error()+": "); ok {
		return errors.New(rest)
	}
	return err
}

// readMinimum reads "40 ksi" or "40 ksi from the drawing". A choice reads as one.
func (f *Form) readMinimum(text string) error {
	for i, choice := range f.choices(FieldMinimum) {
		if text == choice { // shown rounded
			f.after.Minimum, f.after.MinimumFrom = f.mins[i].Strength, f.mins[i].From
			return nil
		}
	}
	value, from, _ := strings.Cut(text, " from ")
	s, err := si.ParseStress(value)
	if err != nil {
		return err
	}
	if !(s > 0) {
		return fmt.Errorf("%s is no minimum: write %q where there is none", s.Text(f.sys), None)
	}
	f.after.Minimum, f.after.MinimumFrom = s, strings.TrimSpace(from)
	if f.after.MinimumFrom == "" {
		f.after.MinimumFrom = "as stated"
	}
	return nil
}

// splitPhotos parts file names at semicolons; at commas only where each part ends
// like a file name, since a name may hold one.
func splitPhotos(text string) []string {
	var out []string
	for one := range strings.SplitSeq(text, ";") {
		parts := strings.Split(one, ",")
		for _, p := range parts {
			if e := path.Ext(strings.TrimSpace(p)); len(e) < 2 || len(e) > 6 || strings.ContainsAny(e, " /\\") {
				parts = []string{one}
				break
			}
		}
		for _, p := range parts {
			if p = strings.TrimSpace(p); p != "" && !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	return out
}
