package strength

import (
	"math"
	"reflect"
)

// impossible is what is said of a pull whose figures are beyond every number, as
// those of a pull.json that somebody has changed may be.
const impossible = "the rig or the sizes in this record give no possible force or stress: nothing is stated; look at its pull.json"

// orNothing is the results, or, where a figure of them is no number, what can be said
// without any: JSON has no word for an infinity, and a person no use.
func (r Results) orNothing(p Pull) Results {
	if numbers(reflect.ValueOf(r)) {
		return r
	}
	no := CountsNot
	return Results{
		Record: r.Record, Kind: r.Kind, Phase: r.Phase, Samples: r.Samples, Gaps: r.Gaps, BadLines: r.BadLines, Slips: r.Slips,
		Zero: Zero{Quality: "none"}, Remarks: []string{impossible}, Said: append([]string{}, p.Said...), Looks: []string{},
		Counts: &no, CountsBecause: []string{"its figures are no numbers"},
	}
}

// numbers says that every number in a value is one.
func numbers(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		f := v.Float()
		return !math.IsNaN(f) && !math.IsInf(f, 0)
	case reflect.Pointer:
		return v.IsNil() || numbers(v.Elem())
	case reflect.Slice:
		for i := range v.Len() {
			if !numbers(v.Index(i)) {
				return false
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if !numbers(v.Field(i)) {
				return false
			}
		}
	}
	return true
}
