package report

import (
	"fmt"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// page is a report in words, in the order it is read. Every text of it is data
// to the template.
type page struct {
	Title, Kind, Record, Units string
	Program, Made              string
	Simulated                  bool
	Warnings                   []string // what a reader must know before any number
	Identity                   []pair
	Answer                     answer
	Results                    []pair
	Figure                     *figure
	NoFigure                   string // why there is none
	Specimen                   []pair
	Sketch                     *sketch
	Measured                   []pair
	NotMeasured                string
	Rig                        []pair
	Limits                     []limitRow
	Unknown, RigCautions       []string
	Calibration                []pair
	CalibrationClaims          []string
	NoCalibration              string
	Budget                     *budgetTable
	NoBudget                   string
	Remarks, Said              []string
	Confirmed, Unconfirmed     []string
	Overruled                  []string // each with its reason, where one was given
	Understood                 []string // of an imported file
	How                        []string
	Integrity                  []pair
}

// pair is a name and what it is.
type pair struct{ Name, Text string }

// answer is what a reader came for. Plain is what the ± means to somebody who knows
// none of the terms; Not says that the pull does not count, which then comes first.
type answer struct {
	Label, Value, Plain, Note string
	Not                       bool
	Verdict                   string
	VerdictKind               string // "pass", "fail" or "open"
	Counts                    string
	Because                   []string
}

// rows gathers rows and leaves out what says nothing.
type rows []pair

func (r *rows) add(name, format string, a ...any) {
	text := format
	if len(a) > 0 {
		text = fmt.Sprintf(format, a...)
	}
	if text = tidy(text); text != "" {
		*r = append(*r, pair{name, text})
	}
}

// page puts the report together.
func (f *facts) page() *page {
	h, sys := f.head, f.opt.Units
	p := &page{
		Kind: kindWords(h.Kind), Record: tidy(f.rec.Name()), Program: tidy(f.opt.Program),
		Simulated: h.Specimen.Simulated, Title: tidy(strength.Who(h.Specimen)),
		Units: map[si.System]string{si.US: "US customary", si.Metric: "SI"}[sys],
	}
	if !f.opt.Made.IsZero() {
		p.Made = f.opt.Made.UTC().Format("2006-01-02 15:04 UTC")
	}
	check := record.Check(f.rec.Dir)
	p.Warnings = f.warnings(check)
	p.Identity = f.identity()
	p.Answer = f.answer()
	p.Results = f.resultRows()
	p.Figure = f.figure()
	p.NoFigure = f.noFigure()
	p.Specimen, p.Sketch = f.specimen(), f.sketch()
	p.Measured, p.NotMeasured = f.measured()
	f.fillRig(p)
	f.fillCalibration(p)
	f.fillBudget(p)
	p.Remarks = tidied(f.results.Remarks)
	p.Remarks = append(p.Remarks, tidied(h.Remarks)...)
	for _, s := range h.Said[:min(len(h.Said), mostRows)] {
		p.Said = append(p.Said, s.At.UTC().Format("2006-01-02")+": "+tidy(s.Text))
	}
	f.fillArming(p)
	if h.Imported != nil {
		p.Understood = tidied(h.Imported.Understood)
	}
	p.How = f.how()
	p.Integrity = f.integrity(check)
	return p
}

// warnings are what stands above all else.
func (f *facts) warnings(check record.Report) (out []string) {
	if f.head.Specimen.Simulated {
		out = append(out, "SIMULATED: no metal was broken for this. Nothing in it says anything about any casting.")
	}
	switch {
	case f.damage != nil:
		out = append(out, "DAMAGED: "+tidy(f.damage.Error())+". Only what is intact before that place is reported.")
	case check.Status == record.Damaged:
		for _, why := range tidied(check.Reasons) {
			out = append(out, "DAMAGED: "+why+".")
		}
	}
	switch {
	case f.rec.Writing:
		out = append(out, "STILL BEING WRITTEN: a program was recording this pull when the report was made.")
	case f.head.Closing == nil:
		out = append(out, "UNFINISHED: the record was never closed; these are the readings that were saved.")
	}
	return out
}

func kindWords(k pull.Kind) string {
	switch k {
	case pull.Tension:
		return "Tension test"
	case pull.Crush:
		return "Crush test"
	case pull.Proof:
		return "Proof load"
	}
	return "Test of an unknown kind"
}

// identity says which pull this is.
func (f *facts) identity() []pair {
	h, b := f.head, f.head.Specimen
	var r rows
	r.add("specimen", "%s", b.ID)
	r.add("melt", "%s", b.Melt)
	r.add("alloy", "%s", b.Alloy)
	r.add("tags", "%s", strings.Join(b.Tags, ", "))
	r.add("check bar of", "%s", b.Stock)
	if !h.Started.IsZero() {
		r.add("pulled", "%s", h.Started.UTC().Format("2006-01-02 15:04:05 UTC"))
	}
	r.add("rig", "%s", f.rig.Name)
	r.add("record", "%s", f.rec.Name())
	r.add("readings from", "%s", h.Source)
	if i := h.Imported; i != nil {
		r.add("imported file", "%s", i.File)
		r.add("its SHA-256", "%s", i.SHA256)
	}
	return r
}

// elsewhere says that a line of a result stands elsewhere in the report.
func elsewhere(name string) bool {
	switch name {
	case "record", "specimen", "section", "verdict", "counts", "remark", "said":
		return true
	}
	return false
}

// resultRows are the lines that the verb results prints.
func (f *facts) resultRows() []pair {
	var r rows
	last := ""
	for _, l := range f.results.Lines(f.opt.Units, f.head.Specimen) {
		name, text, _ := strings.Cut(l, " ")
		if name == "" && len(r) > 0 && !elsewhere(last) { // goes on from the line before
			r[len(r)-1].Text += " " + tidy(text)
			continue
		}
		if last = name; !elsewhere(name) {
			r.add(name, "%s", text)
		}
	}
	return r
}

// noFigure says why there is no picture of the trace.
func (f *facts) noFigure() string {
	if f.head.Dial != nil {
		return "There is no trace: the peak was read off a dial gauge by eye, once."
	}
	return "There is no trace: not one valid reading is in the record."
}

// fillArming tells what was seen to before the pull.
func (f *facts) fillArming(p *page) {
	a := f.head.Arming
	if a == nil {
		for _, why := range tidied(f.head.Overrides) {
			p.Overruled = append(p.Overruled, "armed against a refusal, for this reason: "+why)
		}
		return
	}
	texts := func(in []record.SetupPoint) []string {
		var out []string
		for _, s := range in[:min(len(in), mostRows)] {
			out = append(out, s.Text)
		}
		return tidied(out)
	}
	p.Confirmed, p.Unconfirmed = texts(a.Confirmed), texts(a.Unconfirmed)
	p.Overruled = tidied(a.Overruled)
	if why := tidy(a.Reason); why != "" {
		p.Overruled = append(p.Overruled, "the reason given: "+why)
	}
	for _, why := range tidied(f.head.Overrides) {
		if why != tidy(a.Reason) {
			p.Overruled = append(p.Overruled, "the reason given: "+why)
		}
	}
}
