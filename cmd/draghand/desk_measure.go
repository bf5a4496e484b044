package main

import (
	"reflect"
	"strings"

	"draghand/internal/finish"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
	"draghand/tui"
)

// measuring is the form of one record on the desk.
type measuring struct {
	desk *desk
	dir  string
	name string
	head record.Head
	form finish.Form
	was  []finish.Field
	sys  si.System
	kept string
}

// Measure opens what is asked after a pull.
func (d *desk) Measure(name string) (tui.Measuring, error) {
	path, err := recordPath(d.c, name)
	if err != nil {
		return nil, err
	}
	rec, err := record.Open(path)
	if err != nil {
		return nil, err
	}
	v := d.View()
	return newMeasuring(d, rec, v.Units, v.Alloys), nil
}

func newMeasuring(d *desk, rec *record.Record, u si.System, alloys specimen.Table) *measuring {
	if alloys == nil {
		alloys = specimen.Alloys()
	}
	m := &measuring{desk: d, dir: rec.Dir, name: rec.Name(), head: rec.Head, form: finish.NewForm(rec.Head, u, alloys), sys: u}
	m.was = m.form.Fields()
	return m
}

func (m *measuring) Name() string                             { return m.name }
func (m *measuring) Bar() specimen.Specimen                   { return m.head.Specimen }
func (m *measuring) Fields() []finish.Field                   { return m.form.Fields() }
func (m *measuring) Set(id finish.FieldID, text string) error { return m.form.Set(id, text) }
func (m *measuring) Missing() []string                        { return m.form.Missing() }
func (m *measuring) Changed() bool                            { return !reflect.DeepEqual(m.was, m.form.Fields()) }

// Save writes the record, and tells the bench what came of it.
func (m *measuring) Save() error {
	f, err := m.form.Finished()
	if err != nil {
		return err
	}
	r, err := finish.Save(m.dir, f)
	if err != nil {
		return err
	}
	m.desk.Measured(m.dir, r)
	m.kept = keptWords(&r, m.sys)
	return nil
}

func (m *measuring) Kept() string { return m.kept }

// keptWords is what came of a pull that was finished, in one line: its strength, whether
// it counts, and what came of the minimum.
func keptWords(r *strength.Results, sys si.System) string {
	parts := []string{}
	switch {
	case r.StrengthPa != nil:
		parts = append(parts, si.Stress(*r.StrengthPa).Text(sys))
	case r.StrengthAtLeastPa != nil:
		parts = append(parts, "at least "+si.Stress(*r.StrengthAtLeastPa).Text(sys))
	}
	if r.Counts != nil {
		parts = append(parts, "counts: "+strings.ReplaceAll(*r.Counts, "-", " "))
	}
	if v := r.Verdict; v != nil {
		parts = append(parts, strings.ReplaceAll(v.Says, "-", " ")+" at the minimum of "+si.Stress(v.MinimumPa).Text(sys))
	} else {
		parts = append(parts, "no verdict")
	}
	return "kept: " + strings.Join(parts, "; ")
}
