package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"draghand/internal/shelf"
)

// recordPath is the folder of a record: named by path, by its name on the shelf
// where no such path exists, or by the bar that was pulled where the shelf has one
// record of it. A name of several is a failure that lists them. A name of none comes
// back as it is.
func recordPath(c *common, name string) (string, error) {
	if name == "" {
		return "", nameless()
	}
	if _, err := os.Stat(name); err == nil || filepath.Base(name) != name {
		return name, nil
	}
	if p := filepath.Join(c.shelf(), name); dirExists(p) {
		return p, nil
	}
	all, err := c.listShelf(context.Background())
	if err != nil {
		return name, nil // what stands there can be named by path alone
	}
	var found []string
	for i := range all {
		if all[i].Readable() && namesBar(&all[i], name) {
			found = append(found, all[i].Name)
		}
	}
	switch len(found) {
	case 0:
		return name, nil
	case 1:
		return filepath.Join(c.shelf(), found[0]), nil
	}
	const most = 8
	list := strings.Join(found[:min(most, len(found))], ", ")
	if n := len(found) - most; n > 0 {
		list += fmt.Sprintf(" and %d more", n)
	}
	return "", failf(exitInput, "name one of them: "+list, "%q is the bar of %d records", name, len(found))
}

// nameless is the failure of an empty name, as an empty variable of a script gives.
func nameless() error {
	return failf(exitUsage, "draghand list names the records; see that the variable of a script is set", "the name of a record is empty")
}

// namesBar says whether a name is that of the bar of a record, as the list has it:
// melt and specimen, or the specimen alone.
func namesBar(e *shelf.Entry, name string) bool {
	b := &e.Specimen
	if b.ID == "" {
		return false
	}
	return strings.EqualFold(name, b.ID) || b.Melt != "" && strings.EqualFold(name, b.Melt+"-"+b.ID)
}

func dirExists(p string) bool {
	s, err := os.Stat(p)
	return err == nil && s.IsDir()
}
