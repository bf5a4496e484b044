package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/sheet"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// folderCount is what came of the files of a folder.
type folderCount struct{ imported, before, cut, refused, other int }

// folder imports every table of a folder, a line a file, and gives the answers and
// the code to end with. Hidden files and the folders in it are left out.
func (im *importer) folder(dir string) (answers []importJSON, code int) {
	all, err := os.ReadDir(dir)
	if err != nil {
		err = failf(exitInput, "see that it may be read", "%w", err)
		said := clean(err.Error())
		return []importJSON{{File: filepath.Base(dir), BadRows: []lineJSON{}, Skipped: []lineJSON{}, Columns: []columnJSON{}, Notes: []string{}, Error: &said}}, report(im.w.err, err)
	}
	var files []string
	folders := 0
	for _, e := range all {
		st, err := os.Stat(filepath.Join(dir, e.Name())) // where a link leads
		switch {
		case strings.HasPrefix(e.Name(), "."):
		case err == nil && st.IsDir():
			folders++
		default:
			files = append(files, e.Name())
		}
	}
	wide := 0
	for _, f := range files {
		wide = max(wide, min(letters(clean(f)), widest))
	}
	before := record.Imports(im.c.shelf())
	var n folderCount
	for _, f := range files {
		answer, line, err := im.ofFolder(filepath.Join(dir, f), before, &n)
		if err != nil {
			code = max(code, exitInput, report(im.w.err, err))
			said := clean(err.Error())
			answer.Error = &said
		}
		answers = append(answers, answer)
		if !im.asJSON {
			name := oneLine(f)
			fmt.Fprintln(im.w.out, name+strings.Repeat(" ", max(wide-letters(name), 0))+"  "+oneLine(line))
		}
	}
	if !im.asJSON {
		fmt.Fprintln(im.w.out, n.words(dir, len(files), folders, im.dryRun))
	}
	return answers, code
}

// ofFolder imports one file of a folder. before are the records that hold an import,
// by the SHA-256 of the file; what is made is added.
func (im *importer) ofFolder(name string, before map[string]record.ImportedAs, n *folderCount) (answer importJSON, line string, err error) {
	if why := noText(name); why != "" {
		n.other++
		answer = importJSON{File: filepath.Base(name), BadRows: []lineJSON{}, Skipped: []lineJSON{}, Columns: []columnJSON{}, Notes: []string{}, LeftOut: &why}
		return answer, "no table: " + why, nil
	}
	t, err := im.understand(name)
	var no *sheet.Error
	if errors.As(err, &no) && no.NoTable {
		n.other++
		t.answer.LeftOut = &no.What
		return t.answer, "no table: " + no.What, nil
	}
	if err != nil {
		n.refused++
		return t.answer, "refused: " + strings.TrimPrefix(err.Error(), name+": "), err
	}
	was := before[t.answer.SHA256]
	if was.Name != "" && !was.Cut {
		n.before++
		why := "imported before as " + was.Name
		if was.Writing {
			why = "is being imported now as " + was.Name
		}
		t.answer.Before, t.answer.LeftOut = &was.Name, &why
		return t.answer, why, nil
	}
	tb := t.table
	what := fmt.Sprintf("%s in %s, %s, %.6g to %.6g", tb.Load().Title(), tb.Load().Unit, counted(len(tb.Rows), "row"), tb.Low, tb.High)
	if tb.BadRows.Count > 0 {
		what += fmt.Sprintf(", %s left out", counted(tb.BadRows.Count, "bad row"))
	}
	if tb.Flipped {
		what += ", sign turned"
	}
	if len(tb.Notes) > 0 {
		what += ", " + strings.Join(tb.Notes, ", ")
	}
	if was.Cut {
		t.answer.CutOff = &was.Name
	}
	if im.dryRun {
		n.done(was)
		before[t.answer.SHA256] = record.ImportedAs{Name: t.answer.File}
		if was.Cut {
			what += "; was cut off as " + was.Name + ", which stays"
		}
		return t.answer, what, nil
	}
	res, _, err := im.save(name, &t)
	if err != nil {
		n.refused++
		return t.answer, "NOT SAVED: " + err.Error(), err
	}
	what += "; " + outcomeInShort(&res, tb)
	n.done(was)
	as := filepath.Base(*t.answer.Record)
	before[t.answer.SHA256] = record.ImportedAs{Name: as}
	if was.Cut {
		return t.answer, what + "; was cut off as " + was.Name + ", which stays: imported anew as " + as, nil
	}
	return t.answer, what + "; saved as " + as, nil
}

// outcomeInShort is how the pull of a table ended, in few words. Where no load was made
// sure of, what there is of one is told: it may be real, and the table too short.
func outcomeInShort(res *strength.Results, t *sheet.Table) string {
	switch phase := pull.Phase(res.Phase); phase {
	case pull.Slack:
		return noLoadWords(t)
	case pull.Ended:
		return "ended under load"
	default:
		return strings.ReplaceAll(string(phase), "-", " ")
	}
}

// noLoadWords is what a table says in which no load was made sure of.
func noLoadWords(t *sheet.Table) string {
	return fmt.Sprintf("no load was made sure of: %.6g %s at the most, %s over %s s", t.High, t.Load().Unit, counted(len(t.Rows), "row"), si.Number(t.Duration().Seconds(), 1))
}

// done counts a file that was imported; was is what it was imported as before.
func (n *folderCount) done(was record.ImportedAs) {
	n.imported++
	if was.Cut {
		n.cut++
	}
}

// words is the last line of a folder.
func (n *folderCount) words(dir string, files, folders int, dry bool) string {
	done := "imported"
	if dry {
		done = "would be imported"
	}
	out := fmt.Sprintf("%s: %s, %d %s", oneLine(dir), counted(files, "file"), n.imported, done)
	if n.cut > 0 {
		out += fmt.Sprintf(" (%d of them cut off before)", n.cut)
	}
	for _, c := range []struct {
		n    int
		what string
	}{{n.before, "imported before"}, {n.refused, "refused"}, {n.other, "no table"}} {
		if c.n > 0 {
			out += fmt.Sprintf(", %d %s", c.n, c.what)
		}
	}
	if folders > 0 {
		out += fmt.Sprintf("; %s in it left out: name one to import it", counted(folders, "folder"))
	}
	if dry {
		out += "; nothing was written"
	}
	return out
}

// noText says why a file of a folder cannot be a text, by its first bytes: a video
// is not read to its end; empty where it may be one. A byte order mark of UTF-16
// speaks for zero bytes.
func noText(name string) string {
	st, err := os.Stat(name)
	if err != nil {
		return "" // told when it is read
	}
	if !st.Mode().IsRegular() {
		return "it is no file"
	}
	f, err := os.Open(name)
	if err != nil {
		return ""
	}
	defer f.Close()
	head := make([]byte, 4096)
	k, _ := io.ReadFull(f, head)
	head = head[:k]
	if k == 0 {
		return "it is empty"
	}
	if utf16 := strings.HasPrefix(string(head), "\xff\xfe") || strings.HasPrefix(string(head), "\xfe\xff"); !utf16 && strings.Contains(string(head), "\x00") {
		return "it is no text: it holds zero bytes"
	}
	return ""
}
