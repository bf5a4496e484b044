package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"unicode"

	"github.com/spf13/cobra"

	"draghand/internal/record"
	"draghand/internal/shelf"
)

func trashCommand(w world, c *common) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "trash RECORD...",
		Short: "take pull records off the shelf; nothing is deleted",
		Long: `trash moves records into the folder .trash of the shelf, where no list, chart or
comparison sees them. Nothing is deleted, and no file of a record is changed:
trash back brings each back as it was, and needs no name where there is only one.
Room on the disk is only made by who deletes that folder by hand.

A record that is being written is left, and so is what does not stand on the
shelf.`,
		Example: `  draghand trash M1-3
  draghand trash list
  draghand trash back M1-3`,
		Args: atLeast(1, "name a pull record, or list, or back"),
		RunE: func(_ *cobra.Command, args []string) error {
			return eachRecord(w, c, args, func(path string) error {
				done, err := shelf.Trash(c.shelf(), []string{path})
				for _, m := range done.Moved {
					fmt.Fprintf(w.out, "moved to the trash: %s; draghand trash back %s brings it back\n", oneLine(filepath.Base(m.From)), asTyped(m.Name()))
				}
				return trashFault(c, err)
			})
		},
	}
	cmd.AddCommand(trashListCommand(w, c), trashBackCommand(w, c))
	return cmd
}

// eachRecord does one thing to record after record; those it failed on are told and
// hold up no other. The code is the largest.
func eachRecord(w world, c *common, names []string, do func(path string) error) error {
	code := exitDone
	for _, name := range names {
		path, err := recordPath(c, name)
		if err == nil && filepath.Base(path) == path { // a folder of the working folder, or none at all
			if path, err = filepath.Abs(path); err == nil {
				if _, serr := os.Lstat(path); errors.Is(serr, fs.ErrNotExist) {
					err = failf(exitInput, "draghand list names the records on "+c.shelf(), "%q: %w", name, record.ErrForeign)
				}
			}
		}
		if err == nil {
			err = do(path)
		}
		if err != nil {
			code = max(code, report(w.err, err))
		}
	}
	if code != exitDone {
		return told(code)
	}
	return nil
}

func trashFault(c *common, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, record.ErrBusy):
		return failf(exitSave, "end the pull first; the record stays where it is", "%w", err)
	case errors.Is(err, shelf.ErrNotOnShelf):
		return failf(exitInput, "draghand list names the records on "+c.shelf(), "%w", err)
	case errors.Is(err, shelf.ErrNoTrash):
		return failf(exitInput, "put a folder in its place, or take it away: a trash is made where none is", "%w", err)
	case errors.Is(err, shelf.ErrGone):
		return failf(exitInput, "draghand trash list names what is there", "%w", err)
	case errors.Is(err, shelf.ErrTaken):
		return failf(exitInput, "take that one off the shelf first; this one stays in the trash", "%w", err)
	}
	return failf(exitSave, "see that there is leave to write in "+c.shelf()+"; nothing is lost, draghand list and draghand trash list say where it is", "%w", err)
}

func trashListCommand(w world, c *common) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "list",
		Short: "what is in the trash",
		Example: `  draghand trash list
  draghand trash list --json`,
		Args: none,
		RunE: func(*cobra.Command, []string) error {
			all, err := shelf.TrashList(c.shelf())
			if err != nil {
				return failf(exitInput, "name another folder with --data", "%w", err)
			}
			entries, others := trashed(all)
			if asJSON {
				out := make([]entryJSON, 0, len(entries))
				for _, e := range entries {
					out = append(out, jsonOf(e))
				}
				return printJSON(w.out, out)
			}
			if len(all) == 0 {
				fmt.Fprintf(w.out, "the trash of %s is empty\n", clean(c.shelf()))
				return nil
			}
			tab := tabwriter.NewWriter(w.out, 0, 0, 2, ' ', 0)
			for _, e := range entries {
				line, err := trashLine(c, e)
				if err != nil {
					return err
				}
				fmt.Fprintln(tab, line)
			}
			if err := tab.Flush(); err != nil || len(others) == 0 {
				return err
			}
			_, err = fmt.Fprintf(w.out, "no pull record, and there too: %s\n", strings.Join(others, ", "))
			return err
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "an array, one object a record, in SI, as list has it")
	return cmd
}

// trashed are the records of a trash, and the names of what is none, such as another
// program put there.
func trashed(all []shelf.Moved) (entries []shelf.Entry, others []string) {
	for _, m := range all {
		if e := shelf.Read(m.To); e.Condition != shelf.Foreign {
			entries = append(entries, e)
		} else {
			others = append(others, asTyped(m.Name()))
		}
	}
	return entries, others
}

// asTyped is a name as a person types it behind a verb: in quotes where a shell would
// take it apart.
func asTyped(name string) string {
	name = oneLine(name)
	if name == "" || strings.ContainsFunc(name, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("-_.,:+=@%/~", r)
	}) || name[0] == '~' {
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "$", `\$`, "`", "\\`").Replace(name) + `"`
	}
	return name
}

// trashLine is one record in columns of tabs, its name last.
func trashLine(c *common, e shelf.Entry) (string, error) {
	sys, err := c.system(e.Units)
	if err != nil {
		return "", err
	}
	cells := []string{"", "", "", ""}
	if e.Readable() {
		cells = []string{e.Started.Local().Format("2006-01-02 15:04"), strings.Trim(e.Specimen.Melt+"-"+e.Specimen.ID, "-"), e.Specimen.Alloy, e.Result(sys)}
	}
	cells = append(cells, e.How(), e.Name)
	for i := range cells {
		cells[i] = oneLine(cells[i])
	}
	return strings.Join(cells, "\t"), nil
}

func trashBackCommand(w world, c *common) *cobra.Command {
	return &cobra.Command{
		Use:   "back [RECORD...]",
		Short: "bring records back from the trash to the shelf",
		Long: `back brings records back to where they stood, named as trash list has them, or
by the bar where the trash has one record of it. Without a name it brings back the
only record there is; where there are several it names them and moves none. Where
the shelf has another of the same name meanwhile, it stays in the trash.`,
		Example: `  draghand trash back
  draghand trash back M1-3
  draghand trash back 2026-11-25T140322Z-M1-3`,
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				only, err := onlyTrashed(c)
				if err != nil {
					return err
				}
				args = []string{only}
			}
			code := exitDone
			for _, name := range args {
				m, err := inTrash(c, name)
				if err == nil {
					_, err = shelf.Untrash(shelf.Trashed{Moved: []shelf.Moved{m}})
					err = trashFault(c, err)
				}
				if err != nil {
					code = max(code, report(w.err, err))
					continue
				}
				fmt.Fprintf(w.out, "back on the shelf: %s\n", oneLine(filepath.Base(m.From)))
			}
			if code != exitDone {
				return told(code)
			}
			return nil
		},
	}
}

// onlyTrashed is the name in the trash of its only record; what is no record there does
// not count.
func onlyTrashed(c *common) (string, error) {
	const most = 10
	all, err := shelf.TrashList(c.shelf())
	if err != nil {
		return "", failf(exitInput, "name another folder with --data", "%w", err)
	}
	entries, others := trashed(all)
	switch n := len(entries); {
	case n == 0:
		next := "draghand list names what is on the shelf"
		if len(others) > 0 {
			next = "draghand trash list names what else is there"
		}
		return "", failf(exitInput, next, "there is no record in the trash of %s", c.shelf())
	case n == 1:
		return entries[0].Name, nil
	}
	var names []string
	for _, e := range entries[:min(len(entries), most)] {
		names = append(names, asTyped(e.Name))
	}
	next := "name one of them, or several: " + strings.Join(names, ", ")
	if more := len(entries) - most; more > 0 {
		next += fmt.Sprintf(" and %d more; draghand trash list names all", more)
	}
	return "", failf(exitUsage, next, "there are %d records in the trash: name which to bring back", len(entries))
}

// inTrash is the record in the trash that a name means: its name there, that on the
// shelf, or its bar.
func inTrash(c *common, name string) (shelf.Moved, error) {
	all, err := shelf.TrashList(c.shelf())
	if err != nil {
		return shelf.Moved{}, failf(exitInput, "name another folder with --data", "%w", err)
	}
	base := filepath.Base(name)
	var found []shelf.Moved
	for _, m := range all {
		if m.Name() == base {
			return m, nil
		}
		if e := shelf.Read(m.To); filepath.Base(m.From) == base || e.Readable() && namesBar(&e, name) {
			found = append(found, m)
		}
	}
	switch len(found) {
	case 0:
		return shelf.Moved{}, failf(exitInput, "draghand trash list names what is there", "%q is not in the trash", name)
	case 1:
		return found[0], nil
	}
	var names []string
	for _, m := range found {
		names = append(names, m.Name())
	}
	return shelf.Moved{}, failf(exitInput, "name one of them: "+strings.Join(names, ", "), "%q is the bar of %d records in the trash", name, len(found))
}
