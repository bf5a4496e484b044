package main

import (
	"context"
	"slices"
	"strings"

	"draghand/internal/compare"
	"draghand/internal/shelf"
)

// versus is the word between groups of records; a record of that name is ./vs.
const versus = "vs"

// marked is a record that is compared, and the group it was put into.
type marked struct {
	asked
	mark  string
	named bool // by a person: that it cannot be read ends with a code
}

// gather are the records that are compared. With vs the groups are the marks, unless
// others are asked for.
func (v *compareVerb) gather(ctx context.Context, args []string, by *compare.By) ([]marked, error) {
	switch parts := apart(args); {
	case len(args) > 0 && v.whereGiven:
		return nil, failf(exitUsage, "leave one of the two out", "records and --where exclude one another")
	case len(args) == 0:
		if by.Field == compare.ByMarked {
			return nil, failf(exitUsage, "see draghand compare --help", "--by marks goes by records with the word vs between them")
		}
		return v.onShelf(ctx)
	case len(parts) == 1 && by.Field == compare.ByMarked:
		return nil, failf(exitUsage, "see draghand compare --help", "--by marks goes by records with the word vs between them")
	case len(parts) > 26:
		return nil, failf(exitUsage, "compare fewer at once", "%d groups are more than 26", len(parts))
	default:
		var all []marked
		for i, names := range parts {
			if len(names) == 0 {
				return nil, failf(exitUsage, "name records on either side of each vs", "a group has no record")
			}
			mark := ""
			if len(parts) > 1 {
				mark = string(rune('A' + i))
			}
			for _, name := range names {
				if name == "" {
					return nil, nameless()
				}
				for _, a := range v.named(ctx, name) {
					all = append(all, marked{asked: a, mark: mark, named: true})
				}
			}
		}
		if len(parts) > 1 && !v.byGiven {
			by.Field = compare.ByMarked
		}
		return all, nil
	}
}

// apart splits records at each vs.
func apart(args []string) [][]string {
	parts := [][]string{nil}
	for _, a := range args {
		if a == versus {
			parts = append(parts, nil)
			continue
		}
		parts[len(parts)-1] = append(parts[len(parts)-1], a)
	}
	return parts
}

// named are the records that a name stands for: those of recordsOf, or those of a
// melt on the shelf where there is neither record nor bar of that name.
func (v *compareVerb) named(ctx context.Context, name string) []asked {
	found := recordsOf(ctx, v.c, name)
	if len(found) != 1 || found[0].err != nil || found[0].dir != name || there(name) {
		return found
	}
	all, err := v.c.listShelf(ctx)
	if err != nil {
		return found
	}
	var of []asked
	for i := range all {
		if e := &all[i]; e.Readable() && strings.EqualFold(e.Specimen.Melt, name) {
			of = append(of, asked{name: e.Name, dir: e.Dir})
		}
	}
	if len(of) == 0 {
		return []asked{{name: name, err: v.nothingOfName(all, name)}}
	}
	slices.Reverse(of) // the oldest first
	return of
}

// onShelf are the records of the shelf, or what is asked for of it.
func (v *compareVerb) onShelf(ctx context.Context) ([]marked, error) {
	filter, err := shelf.ParseFilter(v.where)
	if err != nil {
		return nil, failf(exitUsage, "see docs/shelf.md for what a filter may say", "--where: %w", err)
	}
	all, err := v.c.listShelf(ctx)
	if err != nil {
		return nil, failf(exitInput, "name another folder with --data", "%w", err)
	}
	var out []marked
	for i := range all {
		switch e := &all[i]; {
		case !filter.Takes(e):
		case e.Condition == shelf.Foreign:
			v.foreign++
		default:
			out = append(out, marked{asked: asked{name: e.Name, dir: e.Dir}})
		}
	}
	return out, nil
}
