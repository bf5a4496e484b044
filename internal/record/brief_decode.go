package record

import (
	"encoding/json"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// briefWire is the JSON of it.
type briefWire struct {
	Format   *int              `json:"format"`
	Started  time.Time         `json:"started"`
	Kind     pull.Kind         `json:"kind"`
	Specimen specimen.Specimen `json:"specimen"`
	Rig      *struct {
		Name  string    `json:"name"`
		Units si.System `json:"units"`
	} `json:"rig"`
	Source   string     `json:"source"`
	Remarks  []string   `json:"remarks"`
	Over     []string   `json:"overrides"`
	Said     []struct{} `json:"said"`
	Imported *struct{}  `json:"imported"`
	Dial     *struct{}  `json:"dial"`
	Finished []struct {
		Where  specimen.Where `json:"where"`
		Failed string         `json:"failed_part"`
	} `json:"finished"`
	Results json.RawMessage `json:"results"`
	Closing *struct {
		Phase       pull.Phase `json:"phase"`
		Outcome     pull.Phase `json:"outcome"`
		NeverLoaded bool       `json:"never_loaded"`
		Peak        *struct {
			Specimen *si.Force `json:"specimen_n"`
		} `json:"peak"`
		FirstYield *struct {
			Specimen *si.Force `json:"specimen_n"`
		} `json:"first_yield"`
	} `json:"closing"`
}

// decodeBrief reads the JSON of pull.json as decodeHead does, and less of it.
func decodeBrief(path string, text []byte) (Brief, error) {
	if b, ok := siftBrief(text); ok {
		return b, nil
	}
	return plainBrief(path, text)
}

// plainBrief is decodeBrief by encoding/json alone.
func plainBrief(path string, text []byte) (Brief, error) {
	var w briefWire
	err := json.Unmarshal(text, &w)
	if err != nil || w.Format == nil || *w.Format < 1 || *w.Format > Format || w.Rig == nil {
		// What is wrong, in the words of who reads the whole.
		if _, herr := decodeHead(path, text); herr != nil {
			return Brief{}, herr
		}
		return Brief{}, notUnderstood(path, err)
	}
	b := Brief{
		Started: w.Started, Kind: w.Kind, Specimen: w.Specimen, RigName: w.Rig.Name, Units: w.Rig.Units,
		Source: w.Source, Remarks: len(w.Remarks) + len(w.Over) + len(w.Said), Imported: w.Imported != nil, ByEye: w.Dial != nil,
	}
	if n := len(w.Finished); n > 0 {
		b.Where, b.Failed = w.Finished[n-1].Where, w.Finished[n-1].Failed
	}
	if c := w.Closing; c != nil {
		b.Closing = &BriefClosing{Outcome: c.Outcome, NeverLoaded: c.NeverLoaded}
		if c.Outcome == "" {
			b.Closing.Outcome = c.Phase
		}
		if c.Peak != nil && c.Peak.Specimen != nil {
			b.Closing.Peak = *c.Peak.Specimen
		}
		if c.FirstYield != nil && c.FirstYield.Specimen != nil {
			b.Closing.FirstYield = *c.FirstYield.Specimen
		}
	}
	b.Results = briefResults(w.Results)
	return b, nil
}
