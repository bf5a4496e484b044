package finish

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// maxText bounds what is kept of a field, bytes.
const maxText = 2000

// None empties a field, as "-" does. Of the minimum it also takes back the one
// that the table of alloys gives.
const None = "none"

// Form is what a person says of a bar after its pull, field by field, in their
// own words and units. It begins with what the record holds already, so that
// finishing again is a correction. The zero value is of no use; see NewForm.
type Form struct {
	head   record.Head
	sys    si.System
	mins   []specimen.Least // by the table of alloys
	texts  map[FieldID]string
	faults map[FieldID]string
	after  specimen.After
	dial   *record.Dial
}

// NewForm is the form of a record, its figures in the units given. The table gives
// the minimum of the bar's alloy where nobody states one.
func NewForm(h record.Head, sys si.System, alloys specimen.Table) Form {
	if h.Rig != nil && h.Rig.Units != sys { // refusals are in the units of display
		r := *h.Rig
		r.Units, h.Rig = sys, &r
	}
	f := Form{head: h, sys: sys, texts: map[FieldID]string{}, faults: map[FieldID]string{}}
	if h.Kind == pull.Tension && h.Specimen.Alloy != "" {
		f.mins = alloys.Minimums(h.Specimen.Alloy)
	}
	if m := h.Measured(); m != nil {
		f.after, f.dial = m.After, m.Dial
		f.after.Looks, f.after.Photos = slices.Clone(m.Looks), slices.Clone(m.Photos)
		if whole(&h) { // as an earlier program took it
			f.after.Where, f.after.Looks = specimen.NotLookedAt, nil
		}
		for _, id := range f.IDs() {
			f.texts[id] = f.text(id)
			if err := f.alone(id); err != nil { // typed into pull.json, or a later program's word
				f.faults[id] = joined(err)
			}
		}
		if f.after.Minimum == 0 && len(f.mins) == 1 {
			f.texts[FieldMinimum] = None // it was looked at, and left out
		}
	} else if len(f.mins) == 1 {
		f.after.Minimum, f.after.MinimumFrom = f.mins[0].Strength, f.mins[0].From
	}
	return f
}

// alone says why what a field holds cannot be.
func (f *Form) alone(id FieldID) error {
	one, a := specimen.After{}, &f.after
	switch id {
	case FieldDiameters:
		one.Diameters, one.Sections = a.Diameters, a.Sections
	case FieldGauge:
		one.GaugeLength = a.GaugeLength
	case FieldWhere:
		one.Where = a.Where
	case FieldLooks:
		one.Looks = a.Looks
	case FieldFailed:
		one.Failed = a.Failed
	case FieldMinimum:
		one.Minimum, one.MinimumFrom = a.Minimum, a.MinimumFrom
	case FieldPhotos:
		one.Photos = a.Photos
	case FieldDial:
		return trimmed(record.Finished{Dial: f.dial}.Fits(&f.head))
	}
	return one.Against(f.head.Specimen, f.sys)
}

// Clone is a form of its own, so that an answer can be tried.
func (f *Form) Clone() Form {
	out := *f
	out.texts, out.faults = maps.Clone(f.texts), maps.Clone(f.faults)
	out.after.Looks = slices.Clone(f.after.Looks) // read adds to it
	return out
}

// FieldIDs are all fields that a pull can have, in the order they are asked for.
func FieldIDs() []FieldID {
	return []FieldID{FieldDiameters, FieldGauge, FieldWhere, FieldLooks, FieldFailed, FieldDial, FieldMinimum, FieldPhotos}
}

// IDs are the fields that fit the record's kind of pull, in the order they are
// asked for. A block in a crush gets thicker and has no marks; a proof holds
// against a force, not against a strength; a pull without a trace has no
// transducer to hold a dial against.
func (f *Form) IDs() []FieldID {
	var out []FieldID
	switch f.head.Kind {
	case pull.Crush:
		out = []FieldID{FieldLooks, FieldFailed, FieldDial, FieldPhotos}
	case pull.Proof:
		out = []FieldID{FieldWhere, FieldLooks, FieldFailed, FieldDial, FieldPhotos}
	default:
		out = FieldIDs()
	}
	if f.head.Dial != nil {
		out = slices.DeleteFunc(out, func(id FieldID) bool { return id == FieldDial })
	}
	if whole(&f.head) {
		out = slices.DeleteFunc(out, ofBreak)
	}
	return out
}

// whole says that nothing broke: the load was let off. Where the readings ended
// before the end of it, or nobody can tell from them, a person may know better; a
// block in a crush is let off once it is crushed.
func whole(h *record.Head) bool {
	if h.Closing == nil || h.Kind == pull.Crush {
		return false
	}
	return cmp.Or(h.Closing.Outcome, h.Closing.Phase) == pull.LetOff
}

// ofBreak says that a field tells of a break.
func ofBreak(id FieldID) bool { return id == FieldWhere || id == FieldLooks }

// errWhole refuses to say where a bar broke that did not.
var errWhole = errors.New("nothing broke in this pull: it was let off, so there is no place of a break and no fracture; a part of the rig that gave way is the failed part, and a remark keeps anything else")

// Set gives a field another text; empty: nothing is said of it. The error says
// why it cannot be, and what would do; it stands in the field too, until the next
// text. A text that stands there already changes nothing, so that a figure shown
// rounded stays as it was measured.
func (f *Form) Set(id FieldID, text string) error {
	if !slices.Contains(f.IDs(), id) {
		return f.foreign(id)
	}
	text = tidy(text)
	if text == "-" || strings.EqualFold(text, None) {
		text = ""
		if id == FieldMinimum {
			text = None
		}
	}
	if text == f.texts[id] && f.faults[id] == "" {
		return nil
	}
	f.texts[id] = text
	delete(f.faults, id)
	f.clear(id)
	if err := f.read(id, text); err != nil {
		f.clear(id)
		f.faults[id] = joined(err)
		return err
	}
	return nil
}

// foreign says why a field is not asked for.
func (f *Form) foreign(id FieldID) error {
	if f.head.Dial != nil && id == FieldDial {
		return errors.New("this pull has no trace, its peak was read off a dial: there is nothing to hold a dial against")
	}
	if whole(&f.head) && ofBreak(id) {
		return errWhole
	}
	if slices.Contains(FieldIDs(), id) {
		return fmt.Errorf("%s is not asked after a %s: what is asked is %s", id, f.head.Kind, joinIDs(f.IDs()))
	}
	return fmt.Errorf("%q is no field: there are %s", string(id), joinIDs(f.IDs()))
}

func joinIDs(ids []FieldID) string {
	var out []string
	for _, id := range ids {
		out = append(out, string(id))
	}
	return strings.Join(out, ", ")
}

// clear takes back what a field said.
func (f *Form) clear(id FieldID) {
	switch id {
	case FieldDiameters:
		f.after.Diameters, f.after.Sections = nil, nil
	case FieldGauge:
		f.after.GaugeLength = 0
	case FieldWhere:
		f.after.Where = specimen.NotLookedAt
	case FieldLooks:
		f.after.Looks = nil
	case FieldFailed:
		f.after.Failed = ""
	case FieldDial:
		f.dial = nil
	case FieldMinimum:
		f.after.Minimum, f.after.MinimumFrom = 0, ""
	case FieldPhotos:
		f.after.Photos = nil
	}
}

// Fields are the fields as they stand.
func (f *Form) Fields() []Field {
	var out []Field
	for _, id := range f.IDs() {
		field := Field{ID: id, Label: label(id, f.head.Specimen.Shape), Hint: f.hint(id), Text: f.texts[id], Fault: f.faults[id], Choices: f.choices(id)}
		if read := f.understood(id); field.Fault == "" && read != field.Text {
			field.Read = read
		}
		out = append(out, field)
	}
	return out
}

// ErrNothing says that a form holds nothing to write down.
var ErrNothing = errors.New("nothing was measured or seen")

// Finished is what the form says, as a record takes it, at the present time; the
// error names every fault at once, a line each.
func (f *Form) Finished() (record.Finished, error) {
	out := record.Finished{At: time.Now().UTC().Round(0), After: f.after, Dial: f.dial}
	out.Looks, out.Photos = slices.Clone(f.after.Looks), slices.Clone(f.after.Photos)
	var errs []error
	for _, id := range f.IDs() {
		if why := f.faults[id]; why != "" {
			errs = append(errs, fmt.Errorf("%s: %s", id, why))
		}
	}
	if len(errs) > 0 {
		return record.Finished{}, errors.Join(errs...)
	}
	if out.Empty() && out.Dial == nil && f.texts[FieldMinimum] == "" && f.head.Measured() == nil {
		return record.Finished{}, fmt.Errorf("%w: write at least one of %s", ErrNothing, joinIDs(f.IDs()))
	}
	if err := out.Fits(&f.head); err != nil {
		return record.Finished{}, err
	}
	return out, nil
}

// tidy makes a text from a person one line of signs that can be seen.
func tidy(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case !unicode.IsGraphic(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	s = strings.Join(strings.Fields(s), " ")
	for len(s) > maxText {
		_, n := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-n]
	}
	return strings.TrimSpace(s)
}
