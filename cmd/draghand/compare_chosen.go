package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"draghand/internal/compare"
	"draghand/internal/shelf"
)

// howChosen is how records were picked, in words.
func (v *compareVerb) howChosen(args []string) (how, byResult string) {
	if len(args) == 0 {
		f, err := shelf.ParseFilter(v.where)
		if err != nil || f.Empty() {
			return "the whole shelf", ""
		}
		return "of the shelf, by the filter " + v.where, f.ByResult()
	}
	var parts []string
	for _, names := range apart(args) {
		parts = append(parts, namesInWords(names))
	}
	return "named, " + strings.Join(parts, " against "), ""
}

// mostNames bounds how many names a sentence has.
const mostNames = 8

// namesInWords are names in a sentence, the first of many.
func namesInWords(names []string) string {
	if n := len(names) - mostNames; n > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:mostNames], ", "), n)
	}
	return strings.Join(names, ", ")
}

// leftBehind are the pulls that stand beside those that were taken, in the same
// folders, and could have been taken too; unread are the names of those that cannot be
// read.
func (v *compareVerb) leftBehind(ctx context.Context, all []marked) (out []compare.Behind, unread []string) {
	var folders []string
	taken := map[string]map[string]bool{} // by folder, by name in it
	for i := range all {
		if all[i].err != nil {
			continue
		}
		at := trueFolder(filepath.Dir(all[i].dir))
		if taken[at] == nil {
			taken[at] = map[string]bool{}
			folders = append(folders, at)
		}
		taken[at][filepath.Base(all[i].dir)] = true
	}
	for _, at := range folders {
		list := func() ([]shelf.Entry, error) { return listFolder(ctx, at) }
		if at == trueFolder(v.c.shelf()) {
			list = func() ([]shelf.Entry, error) { return v.c.listShelf(ctx) }
		}
		beside, err := list()
		if err != nil {
			continue // what was taken is compared all the same
		}
		dirs := map[string]bool{}
		for i := range beside {
			dirs[beside[i].Dir] = taken[at][beside[i].Name]
		}
		for _, e := range shelf.Behind(beside, dirs) {
			out = append(out, behindOf(&e))
		}
		unread = append(unread, shelf.Unread(beside, dirs)...)
	}
	return out, unread
}

func behindOf(e *shelf.Entry) compare.Behind {
	b := compare.Behind{Record: e.Name, Dir: e.Dir, Read: printOf(e.Dir), Melt: e.Specimen.Melt, Simulated: e.Specimen.Simulated}
	if id := strings.TrimSpace(e.Specimen.ID); id != "" {
		b.Bar = strings.TrimSpace(e.Specimen.Melt) + "-" + id
	}
	return b
}

// nothingOfName says what a name stands for where there is neither record, bar nor
// melt of it: whether it is in the trash, and which melts there are.
func (v *compareVerb) nothingOfName(all []shelf.Entry, name string) error {
	base := name
	if filepath.Base(name) != name && trueFolder(filepath.Dir(name)) == trueFolder(v.c.shelf()) {
		base = filepath.Base(name)
	}
	if gone := v.inTrash(base); len(gone) > 0 {
		is, it := "is", "it"
		if len(gone) > 1 {
			is, it = fmt.Sprintf("(%d records) is", len(gone)), "them"
		}
		typed := make([]string, len(gone))
		for i := range gone {
			typed[i] = asTyped(gone[i])
		}
		next := "draghand trash back " + strings.Join(typed, " ") + " takes " + it + " back"
		if len(gone) > mostNames {
			next = "draghand trash list names them, draghand trash back takes them back"
		}
		return failf(exitInput, next, "%s %s in the trash", name, is)
	}
	var melts []string
	met := map[string]bool{}
	for i := len(all) - 1; i >= 0; i-- { // the list has the newest first
		if m := strings.TrimSpace(all[i].Specimen.Melt); all[i].Readable() && m != "" && !met[m] {
			met[m] = true
			melts = append(melts, m)
		}
	}
	next := "no record on it names its melt; draghand list names the records"
	if len(melts) > 0 {
		next = "it has the melts " + namesInWords(melts)
	}
	return failf(exitInput, next, "no bar or melt %s on the shelf %s", name, v.c.shelf())
}

// inTrash are the records in the trash that a name stands for, as trash back takes
// them.
func (v *compareVerb) inTrash(name string) (out []string) {
	gone, err := shelf.TrashList(v.c.shelf())
	if err != nil {
		return nil
	}
	for _, m := range gone {
		e := shelf.Read(m.To)
		if m.Name() == name || filepath.Base(m.From) == name || e.Readable() && (namesBar(&e, name) || strings.EqualFold(e.Specimen.Melt, name)) {
			out = append(out, m.Name())
		}
	}
	return out
}

// noFolder says that the folder that was asked for is not there: an empty shelf is
// another answer.
func (v *compareVerb) noFolder() error {
	if v.c.data == "" {
		return nil
	}
	if _, err := os.Stat(v.c.data); err != nil {
		return failf(exitInput, "name a folder that holds pull records with --data", "no records: %w", err)
	}
	return nil
}

// there says that something stands at a path.
func there(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}
