package record

import (
	"bytes"
	"encoding/json"
	"unicode/utf8"

	"draghand/internal/si"
)

// BriefResults is what a list shows of the results that stand in a head. nil and
// empty are not known.
type BriefResults struct {
	Strength, AtLeast *si.Stress // the results' own; see shelf.Entry for what they are held against
	Expanded          *si.Stress // uncertainty of the one that is there
	Elongation        *float64   // a fraction
	Counts            string     // as the results write it
	Because           string     // the gravest rule that spoke; empty: none
}

// maxBecause bounds what is kept of a reason, in bytes.
const maxBecause = 256

// briefResults reads the results in a head. They are a convenience: what is of
// another type than the program writes is not known, and refuses no record.
func briefResults(text json.RawMessage) *BriefResults {
	if len(text) == 0 || bytes.Equal(text, []byte("null")) {
		return nil
	}
	var w resultsWire
	if json.Unmarshal(text, &w) != nil { // no object
		return nil
	}
	return w.brief()
}

// resultsWire is the JSON of it, each field as it stands.
type resultsWire struct {
	Strength   json.RawMessage `json:"strength_pa"`
	AtLeast    json.RawMessage `json:"strength_at_least_pa"`
	Expanded   json.RawMessage `json:"strength_expanded_pa"`
	Elongation json.RawMessage `json:"elongation"`
	Counts     json.RawMessage `json:"counts"`
	Because    json.RawMessage `json:"counts_because"`
}

func (w *resultsWire) brief() *BriefResults {
	out := &BriefResults{
		Strength: told[si.Stress](w.Strength), AtLeast: told[si.Stress](w.AtLeast), Expanded: told[si.Stress](w.Expanded),
		Elongation: told[float64](w.Elongation),
	}
	if c := told[string](w.Counts); c != nil {
		out.Counts = *c
	}
	if why := told[[]string](w.Because); why != nil && len(*why) > 0 {
		out.Because = (*why)[0]
		for len(out.Because) > maxBecause {
			_, n := utf8.DecodeLastRuneInString(out.Because)
			out.Because = out.Because[:len(out.Because)-n]
		}
	}
	return out
}

// told is a value of JSON; nil where there is none, or one of another type.
func told[T any](text json.RawMessage) *T {
	var v *T
	if len(text) == 0 || json.Unmarshal(text, &v) != nil {
		return nil
	}
	return v
}
