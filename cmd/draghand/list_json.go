package main

import (
	"math"
	"time"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// entryJSON is an entry as JSON, with the field names of the record and of its
// results; null is not known.
type entryJSON struct {
	Record            string             `json:"record"`
	Condition         string             `json:"condition"`
	Reason            *string            `json:"reason"`
	Started           *time.Time         `json:"started"`
	Kind              *pull.Kind         `json:"kind"`
	ID                string             `json:"id"`
	Melt              string             `json:"melt"`
	Alloy             string             `json:"alloy"`
	Tags              []string           `json:"tags"`
	Diameters         []si.Length        `json:"diameters_m"`
	AreaM2            *si.Area           `json:"area_m2"`
	Shape             specimen.Shape     `json:"shape,omitempty"`
	Sections          []specimen.Section `json:"sections_m,omitempty"`
	Stock             string             `json:"check_stock,omitempty"`
	Simulated         bool               `json:"simulated"`
	Imported          bool               `json:"imported"`
	ByEye             bool               `json:"by_eye"`
	Rig               string             `json:"rig"`
	Source            string             `json:"source"`
	Outcome           *pull.Phase        `json:"outcome"`
	PeakN             *si.Force          `json:"peak_n"`
	StressPa          *si.Stress         `json:"stress_pa"`
	StrengthPa        *si.Stress         `json:"strength_pa"`
	StrengthAtLeastPa *si.Stress         `json:"strength_at_least_pa"`
	ExpandedPa        *si.Stress         `json:"strength_expanded_pa"`
	Elongation        *float64           `json:"elongation"`
	Counts            *string            `json:"counts"`
	CountsBecause     *string            `json:"counts_because"`
	FirstYieldN       *si.Force          `json:"first_yield_n"`
	FirstYieldPa      *si.Stress         `json:"first_yield_pa"`
	Remarks           int                `json:"remarks"`
}

func jsonOf(e shelf.Entry) entryJSON {
	out := entryJSON{Record: e.Name, Condition: string(e.Condition), Tags: []string{}, Diameters: []si.Length{}}
	if e.Reason != "" {
		out.Reason = &e.Reason
	}
	if !e.Readable() {
		return out
	}
	out.Started, out.Kind = &e.Started, &e.Kind
	out.ID, out.Melt, out.Alloy, out.Simulated = e.Specimen.ID, e.Specimen.Melt, e.Specimen.Alloy, e.Specimen.Simulated
	out.Diameters = append(out.Diameters, e.Specimen.Diameters...)
	out.Tags = append(out.Tags, e.Specimen.Tags...)
	out.Stock, out.AreaM2 = e.Specimen.Stock, some(e.Specimen.Area())
	out.Shape, out.Sections = e.Specimen.Shape, e.Specimen.Sections
	out.Imported, out.ByEye, out.Rig, out.Source, out.Remarks = e.Imported, e.ByEye, e.RigName, e.Source, e.Remarks
	if e.Outcome != "" {
		out.Outcome = &e.Outcome
	}
	out.PeakN, out.StressPa, out.StrengthPa, out.StrengthAtLeastPa = some(e.Peak), some(e.Stress), some(e.Strength), some(e.AtLeast)
	out.ExpandedPa, out.Elongation = some(e.Expanded), e.Elongation
	out.FirstYieldN, out.FirstYieldPa = some(e.FirstYield), some(e.YieldStress)
	if e.Counts != "" {
		out.Counts = &e.Counts
	}
	if e.Because != "" {
		out.CountsBecause = &e.Because
	}
	return out
}

// some is nil for what is not known, and for what is no number.
func some[T ~float64](v T) *T {
	if v == 0 || math.IsInf(float64(v), 0) || math.IsNaN(float64(v)) {
		return nil
	}
	return &v
}
