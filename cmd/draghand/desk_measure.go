package main

import (
	"reflect"

	"draghand/internal/finish"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
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
	m := &measuring{desk: d, dir: rec.Dir, name: rec.Name(), head: rec.Head, form: finish.NewForm(rec.Head, u, alloys)}
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
	return nil
}
