package compare

import "math"

// JSON is the comparison as it is written for programs: SI, the field names of the
// record and its results; null is not known. docs/compare.md lists the fields.
func (c *Comparison) JSON() any {
	out := comparisonJSON{
		By: c.By.String(), Content: c.Options.Content, Confidence: c.Options.Confidence, Side: string(c.Options.Side), Level: c.Options.Level,
		MinimumPa: positive(c.Options.Minimum), Chosen: c.Options.Chosen.json(), Groups: []groupJSON{}, Outside: pullsJSON(c.Outside), Notes: texts(c.Notes),
	}
	for i := range c.Groups {
		out.Groups = append(out.Groups, c.Groups[i].json(c.Options.Minimum))
	}
	if d := c.Difference; d != nil {
		j := differenceJSON{
			From: d.From, To: d.To, DiffPa: number64(d.Diff), SEPa: number64(d.SE), DoF: number64(d.DoF), LowPa: number64(d.Low), HighPa: number64(d.High),
			Level: d.Level, T: number64(d.T), P: number64(d.P), SameRig: d.SameRig, Untold: d.Untold, MayBeRigs: d.MayBeRigs(),
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
	MayBeRigs bool     `json:"rigs_may_be_why"`
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
