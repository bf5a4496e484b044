package compare

import (
	"math"
	"time"

	"draghand/internal/batch"
	"draghand/internal/si"
)

// JSON is the comparison as it is written for programs: SI, the field names of the
// record and its results; null is not known. docs/compare.md lists the fields.
func (c *Comparison) JSON() any {
	out := comparisonJSON{
		By: c.By.String(), Content: c.Options.Content, Confidence: c.Options.Confidence, Side: string(c.Options.Side), Level: c.Options.Level,
		MinimumPa: positive(c.Options.Minimum), Chosen: c.Options.Chosen.json(), Groups: []groupJSON{}, Outside: pullsJSON(c.Outside), Notes: texts(c.Notes),
	}
	for i := range c.Groups {
		out.Groups = append(out.Groups, c.Groups[i].json())
	}
	if d := c.Difference; d != nil {
		j := differenceJSON{
			From: d.From, To: d.To, DiffPa: number64(d.Diff), SEPa: number64(d.SE), DoF: number64(d.DoF), LowPa: number64(d.Low), HighPa: number64(d.High),
			Level: d.Level, T: number64(d.T), P: number64(d.P), SameRig: d.SameRig, Untold: d.Untold,
		}
		if d.Known {
			j.CommonUPa, j.CommonK, j.CommonDoF = number64(float64(d.Common)), number64(d.Coverage), number64(d.CommonDoF)
		}
		out.Difference = &j
	}
	if a := c.Analysis; a != nil {
		out.Analysis = &analysisJSON{
			Groups: a.Groups, N: a.N, Between: number64(a.Between), Within: number64(a.Within), DoF1: a.DoF1, DoF2: a.DoF2,
			F: number64(a.F), P: number64(a.P), WithinSDPa: number64(a.WithinSD), AmongSDPa: number64(a.AmongSD),
		}
	}
	return out
}

type comparisonJSON struct {
	By         string          `json:"by"`
	Content    float64         `json:"content"`
	Confidence float64         `json:"confidence"`
	Side       string          `json:"outlier_side"`
	Level      float64         `json:"level"`
	MinimumPa  *float64        `json:"minimum_pa"`
	Chosen     chosenJSON      `json:"chosen"`
	Groups     []groupJSON     `json:"groups"`
	Difference *differenceJSON `json:"difference"`
	Analysis   *analysisJSON   `json:"analysis"`
	Outside    []pullJSON      `json:"outside"`
	Notes      []string        `json:"notes"`
}

type groupJSON struct {
	Name       string         `json:"name"`
	Pulls      []pullJSON     `json:"pulls"`
	Censored   []pullJSON     `json:"censored"`
	Left       []pullJSON     `json:"left"`
	N          int            `json:"n"`
	MeanPa     *float64       `json:"mean_pa"`
	SDPa       *float64       `json:"sd_pa"`
	CV         *float64       `json:"cv"`
	MedianPa   *float64       `json:"median_pa"`
	LeastPa    *float64       `json:"least_pa"`
	MostPa     *float64       `json:"most_pa"`
	MeanLowPa  *float64       `json:"mean_low_pa"`
	MeanHighPa *float64       `json:"mean_high_pa"`
	MeanLevel  float64        `json:"mean_level"`
	Elongation elongationJSON `json:"elongation"`
	Outlier    *outlierJSON   `json:"outlier"`
	Normality  *normalityJSON `json:"normality"`
	Bound      *boundJSON     `json:"bound"`
	CountOn    *countOnJSON   `json:"count_on"`
	Refused    *string        `json:"refused"`
	Weibull    *weibullJSON   `json:"weibull"`
	Notes      []string       `json:"notes"`
}

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

type elongationJSON struct {
	N     int      `json:"n"`
	Mean  *float64 `json:"mean"`
	SD    *float64 `json:"sd"`
	Least *float64 `json:"least"`
	Most  *float64 `json:"most"`
}

type outlierJSON struct {
	Record   string   `json:"record"`
	Bar      string   `json:"bar"`
	ValuePa  float64  `json:"strength_pa"`
	Side     string   `json:"side"`
	Level    float64  `json:"level"`
	G        *float64 `json:"g"`
	Critical *float64 `json:"critical"`
	P        *float64 `json:"p"`
	Flagged  bool     `json:"flagged"`
}

type normalityJSON struct {
	N        int      `json:"n"`
	A2       *float64 `json:"a2"`
	Adjusted *float64 `json:"a2_adjusted"`
	P        *float64 `json:"p"`
}

type boundJSON struct {
	N          int      `json:"n"`
	K          float64  `json:"k"`
	Content    float64  `json:"content"`
	Confidence float64  `json:"confidence"`
	SDPa       float64  `json:"sd_pa"`
	StepPa     *float64 `json:"step_pa"`
	AtPa       float64  `json:"bound_pa"`
}

type countOnJSON struct {
	StrengthPa       *float64 `json:"strength_pa"`
	PromisedPa       *float64 `json:"promised_pa"`
	BoundPa          float64  `json:"bound_pa"`
	CommonExpandedPa *float64 `json:"common_expanded_pa"`
	CoverageK        float64  `json:"coverage_k"`
	CoverageDoF      *float64 `json:"coverage_dof"`
	Unknown          int      `json:"common_unknown"`
	Holds            *bool    `json:"holds"`
	Doubtful         *string  `json:"doubtful"`
	HoldsFor         string   `json:"holds_for"`
}

type weibullJSON struct {
	N             int      `json:"n"`
	Failures      int      `json:"failures"`
	Shape         *float64 `json:"shape"`
	ShapeLow      *float64 `json:"shape_low"`
	ShapeHigh     *float64 `json:"shape_high"`
	Unbiased      *float64 `json:"shape_unbiased"`
	Factor        *float64 `json:"unbiasing_factor"`
	ScalePa       *float64 `json:"scale_pa"`
	ScaleLowPa    *float64 `json:"scale_low_pa"`
	ScaleHighPa   *float64 `json:"scale_high_pa"`
	Level         float64  `json:"level"`
	LogLikelihood *float64 `json:"log_likelihood"`
}

type differenceJSON struct {
	From      string   `json:"from"`
	To        string   `json:"to"`
	DiffPa    *float64 `json:"difference_pa"`
	SEPa      *float64 `json:"se_pa"`
	DoF       *float64 `json:"dof"`
	LowPa     *float64 `json:"low_pa"`
	HighPa    *float64 `json:"high_pa"`
	Level     float64  `json:"level"`
	T         *float64 `json:"t"`
	P         *float64 `json:"p"`
	SameRig   bool     `json:"same_rig"`
	Untold    bool     `json:"machine_not_told"`
	CommonUPa *float64 `json:"common_u_pa"`
	CommonK   *float64 `json:"common_coverage_k"`
	CommonDoF *float64 `json:"common_dof"`
}

type analysisJSON struct {
	Groups     int      `json:"groups"`
	N          int      `json:"n"`
	Between    *float64 `json:"between_pa2"`
	Within     *float64 `json:"within_pa2"`
	DoF1       int      `json:"dof_between"`
	DoF2       int      `json:"dof_within"`
	F          *float64 `json:"f"`
	P          *float64 `json:"p"`
	WithinSDPa *float64 `json:"within_sd_pa"`
	AmongSDPa  *float64 `json:"among_sd_pa"`
}

func (g *Group) json() groupJSON {
	s := &g.Strength
	out := groupJSON{
		Name: g.Name, Pulls: pullsJSON(g.Pulls), Censored: pullsJSON(g.Censored), Left: pullsJSON(g.Left),
		N: len(g.Pulls), MeanPa: number64(s.Mean), SDPa: number64(s.SD), CV: number64(s.CV), MedianPa: number64(s.Median),
		LeastPa: number64(s.Least), MostPa: number64(s.Most), MeanLowPa: number64(s.MeanLow), MeanHighPa: number64(s.MeanHigh), MeanLevel: s.Level,
		Elongation: elongation(&g.Elongation), Refused: said(g.Refused), Notes: texts(g.Notes),
	}
	if o := g.Outlier; o != nil {
		p := &g.Pulls[o.Index]
		out.Outlier = &outlierJSON{
			Record: p.Record, Bar: p.Bar, ValuePa: o.Value, Side: string(o.Side), Level: o.Level,
			G: number64(o.G), Critical: number64(o.Critical), P: number64(o.P), Flagged: o.Flagged,
		}
	}
	if n := g.Normality; n != nil {
		out.Normality = &normalityJSON{N: n.N, A2: number64(n.A2), Adjusted: number64(n.Adjusted), P: number64(n.P)}
	}
	if b := g.Bound; b != nil {
		out.Bound = &boundJSON{N: b.N, K: b.K, Content: b.Content, Confidence: b.Confidence, SDPa: float64(b.SD), StepPa: positive(b.Step), AtPa: float64(b.At)}
	}
	if k := g.CountOn; k != nil {
		out.CountOn = &countOnJSON{
			StrengthPa: positive(k.Strength), PromisedPa: positive(k.Promised), BoundPa: float64(k.Bound.At), CoverageK: k.Coverage, CoverageDoF: number64(k.DoF), Unknown: k.Unknown, Holds: k.Holds,
			Doubtful: said(k.Doubtful), HoldsFor: g.HoldsFor(si.Metric),
		}
		if k.Unknown < k.Bound.N {
			out.CountOn.CommonExpandedPa = number64(float64(k.Common))
		}
	}
	if w := g.Weibull; w != nil {
		out.Weibull = &weibullJSON{
			N: w.N, Failures: w.Failures, Shape: number64(w.Shape), ShapeLow: number64(w.ShapeLow), ShapeHigh: number64(w.ShapeHigh),
			Unbiased: number64(w.Unbiased), Factor: number64(w.UnbiasedFactor), ScalePa: number64(w.Scale),
			ScaleLowPa: number64(w.ScaleLow), ScaleHighPa: number64(w.ScaleHigh), Level: w.Level, LogLikelihood: number64(w.LogLikelihood),
		}
	}
	return out
}

func elongation(e *batch.Summary) elongationJSON {
	return elongationJSON{N: e.N, Mean: number64(e.Mean), SD: number64(e.SD), Least: number64(e.Least), Most: number64(e.Most)}
}

func pullsJSON(all []Pull) []pullJSON {
	out := make([]pullJSON, 0, len(all))
	for i := range all {
		p := &all[i]
		j := pullJSON{
			Record: p.Record, Bar: p.Bar, Melt: p.Melt, Alloy: p.Alloy, Tags: texts(p.Tags), Kind: said(string(p.Kind)),
			DiameterM: positive(p.Diameter), AreaM2: positive(p.Area), StrengthPa: positive(p.Strength), StrengthAtLeastPa: positive(p.AtLeast),
			StrengthUPa: positive(p.U), CommonBy: said(p.CommonBy), Rig: p.RigName, Elongation: p.Elongation, Counts: said(p.Counts), Because: p.Because, Out: said(p.Out),
			Assumed: positive(p.Assumed), Simulated: p.Simulated, Imported: p.Imported, ByEye: p.ByEye, Stock: p.Stock, Marked: p.Marked,
		}
		if p.U > 0 {
			j.StrengthExpanded = positive(p.Expanded)
			j.CommonUPa = number64(float64(p.Common))
			j.CommonDoF = positive(p.CommonDoF)
		}
		if !p.Started.IsZero() {
			j.Started = &p.Started
		}
		out = append(out, j)
	}
	return out
}

// number64 is nil for what is no finite number: JSON has none such.
func number64(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// positive is nil for what is not known, which is 0.
func positive[T ~float64](v T) *float64 {
	if !(v > 0) {
		return nil
	}
	return number64(float64(v))
}

func said(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func texts(all []string) []string {
	if all == nil {
		return []string{}
	}
	return all
}
