package compare

import "time"

type pullJSON struct {
	Record            string     `json:"record"`
	Bar               string     `json:"bar"`
	Melt              string     `json:"melt"`
	Alloy             string     `json:"alloy"`
	Tags              []string   `json:"tags"`
	Kind              *string    `json:"kind"`
	Started           *time.Time `json:"started"`
	DiameterM         *float64   `json:"diameter_m"`
	AreaM2            *float64   `json:"area_m2"`
	StrengthPa        *float64   `json:"strength_pa"`
	StrengthAtLeastPa *float64   `json:"strength_at_least_pa"`
	StrengthUPa       *float64   `json:"strength_u_pa"`
	StrengthExpanded  *float64   `json:"strength_expanded_pa"`
	CommonUPa         *float64   `json:"common_u_pa"`
	CommonDoF         *float64   `json:"common_dof"`
	CommonBy          *string    `json:"common_by"`
	Rig               string     `json:"rig"`
	Elongation        *float64   `json:"elongation"`
	Counts            *string    `json:"counts"`
	Because           []string   `json:"counts_because,omitempty"`
	Out               *string    `json:"out"`
	Assumed           *float64   `json:"accuracy_assumed,omitempty"`
	Simulated         bool       `json:"simulated"`
	Imported          bool       `json:"imported"`
	ByEye             bool       `json:"by_eye"`
	Stock             string     `json:"check_stock,omitempty"`
	Marked            string     `json:"marked,omitempty"`
}

func pullsJSON(all []Pull) []pullJSON {
	out := make([]pullJSON, 0, len(all))
	for i := range all {
		p := &all[i]
		j := pullJSON{
			Record: p.Record, Bar: p.Bar, Melt: p.Melt, Alloy: p.Alloy, Tags: texts(p.Tags), Kind: said(string(p.Kind)),
			DiameterM: positive(p.Diameter), AreaM2: positive(p.Area), StrengthPa: positive(p.Strength), StrengthAtLeastPa: positive(p.AtLeast),
			StrengthUPa: positive(p.U), CommonBy: said(p.CommonBy), Rig: p.RigName, Counts: said(p.Counts), Because: p.Because, Out: said(p.Out),
			Assumed: positive(p.Assumed), Simulated: p.Simulated, Imported: p.Imported, ByEye: p.ByEye, Stock: p.Stock, Marked: p.Marked,
		}
		if p.U > 0 {
			j.StrengthExpanded = positive(p.Expanded)
			j.CommonUPa = number64(float64(p.Common))
			j.CommonDoF = positive(p.CommonDoF)
		}
		if p.Elongation != nil {
			j.Elongation = number64(*p.Elongation)
		}
		if !p.Started.IsZero() {
			j.Started = &p.Started
		}
		out = append(out, j)
	}
	return out
}
