package report

import (
	"encoding/json"
	"io"

	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/strength"
)

// whole is a record as one JSON document: what was pulled on what rig, the
// results, and every valid reading as columns of equal length, in SI.
type whole struct {
	Head     record.Head      `json:"pull"`
	Results  strength.Results `json:"results"`
	Readings columns          `json:"readings"`
	Damaged  string           `json:"damaged,omitempty"`
}

type columns struct {
	TS        []float64 `json:"t_s"`
	Raw       []float64 `json:"raw"`
	GaugePa   []float64 `json:"gauge_pa"`
	RamN      []float64 `json:"ram_n"`
	SpecimenN []float64 `json:"specimen_n"`
}

// JSON writes the record as one document. A damaged record is written as far
// as it is intact, says so in "damaged", and the damage is returned as well.
func JSON(out io.Writer, rec *record.Record) error {
	doc := whole{Head: rec.Head}
	c := &doc.Readings
	c.TS, c.Raw, c.GaugePa, c.RamN, c.SpecimenN = []float64{}, []float64{}, []float64{}, []float64{}, []float64{}
	var told strength.Remarks
	s, damage := rec.ReplayLines(func(l record.Line) bool {
		told.Add(l.Events)
		r, live := l.Reading, l.Engine.Live()
		if r.Mark == pull.NoMark && live.Seen {
			c.TS = append(c.TS, r.T.Seconds())
			c.Raw = append(c.Raw, r.Raw)
			c.GaugePa = append(c.GaugePa, float64(live.Gauge))
			c.RamN = append(c.RamN, float64(live.Ram))
			c.SpecimenN = append(c.SpecimenN, float64(live.Specimen))
		}
		return true
	})
	if damage != nil {
		doc.Damaged = damage.Error()
	}
	doc.Results = finish.Of(rec, s, told, damage)
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	if err := e.Encode(doc); err != nil {
		return err
	}
	return damage
}
