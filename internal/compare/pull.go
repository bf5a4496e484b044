package compare

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"path/filepath"
	"slices"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// PullOf is a record with its results as a comparison sees it. damage is the error
// of its readings: what they say is then not used.
func PullOf(rec *record.Record, res strength.Results, damage error) Pull {
	h := &rec.Head
	bar := &h.Specimen
	p := Pull{
		Record: rec.Name(), Dir: rec.Dir, Bar: barName(bar), Melt: tidy(bar.Melt), Alloy: tidy(bar.Alloy), Tags: tags(bar.Tags),
		Kind: h.Kind, Started: h.Started, Diameter: bar.Diameter(), Area: bar.Area(), Elongation: res.Elongation,
		Simulated: bar.Simulated, Imported: h.Imported != nil, ByEye: h.Dial != nil, Stock: tidy(bar.Stock),
	}
	if sum := h.Closing; sum != nil {
		p.Identify(h, sum.SamplesSHA256)
	}
	if m := h.Measured(); m != nil {
		p.Minimum = m.Minimum
		for _, l := range m.Looks {
			p.Seen = append(p.Seen, tidy(string(l)))
		}
	}
	if p.Bar == "" {
		p.Bar = p.Record
	}
	if h.Rig != nil {
		p.RigName = h.Rig.Name
	}
	if h.StandIn() {
		p.Assumed = h.Rig.Sensor.Accuracy
	}
	if res.Counts != nil {
		p.Counts = *res.Counts
		if p.Counts == strength.CountsWithRemarks {
			p.Because = slices.Clone(res.CountsBecause)
		}
	}
	if p.Out = leftOut(rec, &res, damage); p.Out != "" {
		return p
	}
	if res.StrengthPa != nil {
		p.Strength = si.Stress(*res.StrengthPa)
	} else {
		p.AtLeast, p.Out = si.Stress(*res.StrengthAtLeastPa), boreAtLeast+res.AtLeastWhy()
	}
	p.CommonBy = commonBy(h, p.RigName)
	if r := h.Config().Rig; r != nil && r.Calibration != nil {
		p.Calibration = r.Calibration.ID
	}
	if b := res.Budget; b != nil {
		p.U, p.Expanded = si.Stress(b.UPa), si.Stress(b.ExpandedPa)
		p.Step = si.Stress(b.StepPa())
		p.Common, p.CommonDoF = si.Stress(b.CommonPa), b.CommonDoF()
	}
	return p
}

// boreAtLeast begins the reason of a pull that did not break its bar.
const boreAtLeast = "it bore at least so much: "

// Unreadable is a record that cannot be opened, in a comparison.
func Unreadable(dir string, err error) Pull {
	name := filepath.Base(dir)
	why := "it cannot be read"
	if head, ok := errors.AsType[*record.HeadError](err); ok { // the name of the record says where
		why += ": " + head.Plain()
	} else if err != nil {
		why += ": " + strings.ReplaceAll(err.Error(), "\n", "; ")
	}
	return Pull{Record: name, Dir: dir, Bar: name, Out: why}
}

// Unread says that nothing is known of a pull: no record of it could be read.
func (p *Pull) Unread() bool { return p.Kind == "" }

// leftOut says why a pull says nothing of its bar's strength; empty where it does.
func leftOut(rec *record.Record, res *strength.Results, damage error) string {
	switch {
	case rec.Writing:
		return "another program is writing it: whether it counts is not decided"
	case damage != nil:
		return "the record is damaged" + checkSays
	case rec.Head.Kind == pull.Crush:
		return "a crush has no tensile strength"
	case rec.Head.Kind != pull.Tension:
		return "a " + string(rec.Head.Kind) + " has no tensile strength"
	case unclear(&rec.Head, res) && rec.Head.Dial != nil:
		return "nobody says whether it broke or was let off, so its peak is neither a strength nor a bar that held" + enterAgain + typeFinish + rec.Name() + " --where middle"
	case unclear(&rec.Head, res):
		return "it is unclear whether it broke or was let off, so its peak is neither a strength nor a bar that held" + finishTells + typeFinish + rec.Name() + " --where middle"
	case res.StrengthAtLeastPa != nil && *res.StrengthAtLeastPa > 0:
		return ""
	case res.Counts != nil && *res.Counts == strength.CountsNot:
		if len(res.CountsBecause) > 0 {
			return "does not count: " + strings.Join(res.CountsBecause, "; ")
		}
		return "does not count"
	case res.StrengthPa == nil || !(*res.StrengthPa > 0):
		return "no strength is known of it"
	}
	return ""
}

// unclear says that a bar may have broken at its peak: taken as one that held, it would
// make the others look stronger than they are. One that somebody found broken in the
// grip, or beside which the rig gave way, did bear so much.
func unclear(h *record.Head, res *strength.Results) bool {
	m := h.Measured()
	return res.StrengthAtLeastPa != nil && pull.Phase(res.Phase) == pull.Unclear && !(m != nil && specimen.BoundOnly(m.Where, m.Failed))
}

// barName is the bar as lists have it: melt and specimen. A bar without a name of its
// own has none: the melt alone would name all of them.
func barName(b *specimen.Specimen) string {
	id, melt := tidy(b.ID), tidy(b.Melt)
	if id == "" || melt == "" {
		return id
	}
	return melt + "-" + id
}

// tidy is a name without blanks around it, and single ones within.
func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }

// tags are in order, each once.
func tags(all []string) []string {
	out := []string{}
	for _, t := range all {
		if t = tidy(t); t != "" {
			out = append(out, t)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// commonBy names what the common part of the doubt hangs on: the rig as its file
// describes it, the side the bar stood on, the calibration, the micrometer. What is
// of the same text is off by the same. Whether a trace was read, a dial, or an
// imported table is part of it: each is another gauge.
func commonBy(h *record.Head, name string) string {
	r := h.Config().Rig
	if r == nil {
		return "no rig"
	}
	limit, _ := h.Specimen.SizeLimit()
	ram, sensor := r.Ram, r.Sensor
	words := "rig " + name
	if h.StandIn() { // its range is that of the table alone, and no machine's
		ram, sensor.Low, sensor.High, sensor.UnitFactor = rig.Ram{}, 0, 0, 0
		words = "a machine that nobody told"
	}
	on := struct {
		Name          string
		Ram           rig.Ram
		Sensor        rig.Sensor
		Path          rig.Path
		Far           bool
		Calibration   *rig.Calibration
		Micrometer    si.Length
		Shape         specimen.Shape
		Eye, Imported bool
		Simulated     bool
	}{
		Name: r.Name, Ram: ram, Sensor: sensor, Path: r.Path, Far: r.Path.BarFar, Micrometer: limit, Shape: h.Specimen.Shape,
		Eye: h.Dial != nil, Imported: h.Imported != nil, Simulated: h.Specimen.Simulated,
	}
	if c := r.Calibration; c != nil {
		bare := *c
		bare.Remarks, bare.PassedOver = nil, nil // words of the day it was chosen
		on.Calibration = &bare
		words += ", calibration " + c.ID
	}
	text, err := json.Marshal(on)
	if err != nil { // a figure that is no number: no two are taken for the same
		return words + ", record " + h.Started.String()
	}
	sum := sha256.Sum256(text)
	return words + ", " + hex.EncodeToString(sum[:6])
}
