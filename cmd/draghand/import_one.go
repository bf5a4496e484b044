package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"

	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/sheet"
	"draghand/internal/strength"
)

// tabled is a file that was understood as a table.
type tabled struct {
	answer importJSON
	data   []byte
	table  *sheet.Table
	rig    *rig.Rig
	said   []string // what was understood, in words
}

// all imports one file after the other. A bad one does not stop the rest; the
// worst code is the answer.
func (im *importer) all(files []string) error {
	code := exitDone
	out := make([]importJSON, 0, len(files))
	for i, name := range files {
		if i > 0 && !im.asJSON {
			fmt.Fprintln(im.w.out)
		}
		if dirExists(name) {
			answers, worst := im.folder(name)
			code, out = max(code, worst), append(out, answers...)
			continue
		}
		answer, err := im.one(name)
		if err != nil {
			code = max(code, report(im.w.err, err))
			said := clean(err.Error())
			answer.Error = &said
		}
		out = append(out, answer)
	}
	if im.asJSON {
		if err := printJSON(im.w.out, out); err != nil {
			return err
		}
	}
	if code != exitDone {
		return told(code)
	}
	return nil
}

// one imports a file that was named, and says all that was understood.
func (im *importer) one(name string) (importJSON, error) {
	t, err := im.understand(name)
	if err != nil {
		return t.answer, err
	}
	switch before := record.ImportOf(im.c.shelf(), t.answer.SHA256); {
	case before.Cut:
		t.said = append(t.said, "imported before, and cut off: "+before.Name+" holds a part of the same file and stays; this makes a whole record")
		t.answer.CutOff = &before.Name
	case before.Name != "":
		t.said = append(t.said, "imported before: "+before.Name+" holds the same file; this makes another record")
		t.answer.Before = &before.Name
	}
	if !im.asJSON {
		fmt.Fprintln(im.w.out, clean(name))
		for _, l := range t.said {
			fmt.Fprintln(im.w.out, "  "+clean(l))
		}
	}
	if im.dryRun {
		if !im.asJSON {
			fmt.Fprintln(im.w.out, "dry run: nothing was written")
		}
		return t.answer, nil
	}
	res, head, err := im.save(name, &t)
	if err != nil || im.asJSON {
		return t.answer, err
	}
	sys, err := im.c.system(t.rig.Units)
	if err != nil {
		return t.answer, err
	}
	for _, l := range res.Lines(sys, head.Specimen) {
		fmt.Fprintln(im.w.out, clean(l))
	}
	if res.Phase == string(pull.Slack) {
		fmt.Fprintln(im.w.out, clean("remark     "+noLoadWords(t.table)+"; a load needs more readings, or a longer table, to be told from none"))
	}
	fmt.Fprintln(im.w.out, "saved as   "+clean(*t.answer.Record))
	return t.answer, nil
}

// understand reads a file as a table, and nothing is written. Whatever the error,
// the answer says what is known of the file.
func (im *importer) understand(name string) (tabled, error) {
	out := tabled{answer: importJSON{File: filepath.Base(name), BadRows: []lineJSON{}, Skipped: []lineJSON{}, Columns: []columnJSON{}, Notes: []string{}}}
	var err error
	if out.data, err = readTable(im.w, name); err != nil {
		return out, err
	}
	sum := sha256.Sum256(out.data)
	out.answer.SHA256 = hex.EncodeToString(sum[:])
	if out.table, err = sheet.Read(out.data, im.table); err != nil {
		return out, im.notUnderstood(name, err)
	}
	out.answer.understood(out.table)
	if out.rig, err = im.rigFor(out.table); err != nil {
		return out, naming(name, err)
	}
	out.said = understanding(out.table, out.rig, im.rig != nil)
	return out, nil
}

// save makes the record of a table; the answer has its folder, even one that could
// not be saved whole.
func (im *importer) save(name string, t *tabled) (strength.Results, record.Head, error) {
	head := im.head(name, t.data, t.answer.SHA256, t.table, t.rig, t.said)
	dir, state, told, err := keep(im.c.shelf(), head, t.table, converter(t.table, t.rig))
	if dir != "" {
		t.answer.Record = &dir
	}
	if err != nil {
		return strength.Results{}, head, failf(exitSave, "choose another folder with --data, or free this one", "%s: %w", clean(filepath.Base(name)), err)
	}
	res, err := finish.Closed(&head, dir, state, told)
	sayNotKept(im.w, err)
	return res, head, nil
}
