package shelf

import (
	"slices"
	"strings"
)

// Bounds on what an entry keeps of a head, which may hold anything: a list of ten
// thousand stays small.
const (
	mostText      = 256 // bytes
	mostDiameters = 16
	mostTags      = 32
)

// bound cuts what is longer than any record of ours has it. The section was
// reckoned before.
func (e *Entry) bound() {
	for _, s := range []*string{&e.Specimen.ID, &e.Specimen.Melt, &e.Specimen.Alloy, &e.RigName, &e.Source, (*string)(&e.Kind), (*string)(&e.Outcome), (*string)(&e.Specimen.Shape), &e.Specimen.ExpectFrom, &e.Specimen.Stock} {
		*s = short(*s)
	}
	if len(e.Specimen.Tags) > mostTags {
		e.Specimen.Tags = slices.Clone(e.Specimen.Tags[:mostTags])
	}
	for i, s := range e.Specimen.Tags {
		e.Specimen.Tags[i] = short(s)
	}
	if d := e.Specimen.Diameters; len(d) > mostDiameters {
		small := e.Specimen.Diameter()
		e.Specimen.Diameters = append(slices.Clone(d[:mostDiameters-1]), small)
	}
	if c := e.Specimen.Sections; len(c) > mostDiameters {
		small, _ := e.Specimen.Governing()
		e.Specimen.Sections = append(slices.Clone(c[:mostDiameters-1]), small)
	}
}

func short(s string) string {
	if len(s) <= mostText {
		return s
	}
	return strings.ToValidUTF8(strings.Clone(s[:mostText]), "") + "…"
}
