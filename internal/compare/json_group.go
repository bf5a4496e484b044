package compare

import (
	"draghand/internal/batch"
	"draghand/internal/si"
)

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
	Verdict    *string        `json:"verdict"`
	Weibull    *weibullJSON   `json:"weibull"`
	Notes      []string       `json:"notes"`
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
	Grade            *string  `json:"grade"`
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

func (g *Group) json(minimum si.Stress) groupJSON {
	s := &g.Strength
	out := groupJSON{
		Name: g.Name, Pulls: pullsJSON(g.Pulls), Censored: pullsJSON(g.Censored), Left: pullsJSON(g.Left),
		N: len(g.Pulls), MeanPa: number64(s.Mean), SDPa: number64(s.SD), CV: number64(s.CV), MedianPa: number64(s.Median),
		LeastPa: number64(s.Least), MostPa: number64(s.Most), MeanLowPa: number64(s.MeanLow), MeanHighPa: number64(s.MeanHigh), MeanLevel: s.Level,
		Elongation: elongation(&g.Elongation), Refused: said(g.Refused), Verdict: said(string(g.Verdict(minimum))), Notes: texts(g.Notes),
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
			Doubtful: said(k.Doubtful), Grade: said(k.Grade()), HoldsFor: g.HoldsFor(si.Metric),
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
