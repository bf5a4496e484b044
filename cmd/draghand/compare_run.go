package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"draghand/internal/calib"
	"draghand/internal/compare"
	"draghand/internal/finish"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// compareVerb is one call of compare.
type compareVerb struct {
	w                               world
	c                               *common
	where, by, bound, side, minimum string
	level                           float64
	foreign                         int // folders on the shelf that hold no pull record
	as, file                        string
	asJSON, byGiven, whereGiven     bool
}

// versus is the word between groups of records; a record of that name is ./vs.
const versus = "vs"

// marked is a record that is compared, and the group it was put into.
type marked struct {
	asked
	mark  string
	named bool // by a person: that it cannot be read ends with a code
}

// run compares what was asked for. What cannot be read does not stop the others.
func (v *compareVerb) run(ctx context.Context, args []string) error {
	o, by, err := v.settings()
	if err != nil {
		return err
	}
	if _, err := v.c.system(si.US); err != nil {
		return err
	}
	switch {
	case v.as != "" && v.as != "html":
		return failf(exitUsage, "write --as html, or leave it out", "--as %q is not known", v.as)
	case v.as != "" && v.asJSON:
		return failf(exitUsage, "leave one of the two out", "--as and --json exclude one another")
	}
	if err := v.noFolder(); err != nil {
		return err
	}
	all, err := v.gather(ctx, args, &by)
	if err != nil {
		return err
	}
	if err := v.none(all); err != nil {
		return err
	}
	if o.Chosen.How, o.Chosen.ByResult = v.howChosen(args); len(args) > 0 || v.where != "" {
		o.Chosen.Behind = v.leftBehind(ctx, all)
	}
	o.Chosen.Foreign = v.foreign
	pulls, sys, code, err := v.pulls(ctx, all)
	if err != nil {
		return err
	}
	cmp := compare.Of(pulls, by, o)
	write := func(out io.Writer) error { return v.answer(ctx, out, &cmp, sys) }
	if v.file == "" || v.file == "-" {
		err = write(v.w.out)
	} else {
		err = putInPlace(v.file, write)
	}
	if err != nil {
		return exportFault(err)
	}
	if code != exitDone {
		return told(code)
	}
	return nil
}

// answer writes what came of it.
func (v *compareVerb) answer(ctx context.Context, out io.Writer, c *compare.Comparison, sys si.System) error {
	switch {
	case v.asJSON:
		return printJSON(out, c.JSON())
	case v.as != "":
		return reportComparison(ctx, out, c, sys, time.Now())
	}
	if len(c.Groups)+len(c.Outside) == 0 {
		if v.where != "" {
			fmt.Fprintf(out, "no pull record in %s is asked for by %q\n", clean(v.c.shelf()), clean(v.where))
		} else {
			fmt.Fprintf(out, "no pull records in %s: draghand demo makes one on the simulated rig, draghand watch a real one\n", clean(v.c.shelf()))
		}
		return nil
	}
	for _, l := range compareLines(c, sys) {
		fmt.Fprintln(out, l)
	}
	return nil
}

// compareWide is how wide the words are: a terminal of 80 columns.
const compareWide = 78

// compareLines are the words of a comparison in lines for a terminal, with the dot
// plot in letters.
func compareLines(c *compare.Comparison, sys si.System) []string {
	held := strings.NewReplacer(" ksi", "\u00a0ksi", " MPa", "\u00a0MPa")
	var out []string
	for _, l := range c.Lines(sys) {
		text := clean(l)
		body := strings.TrimLeft(text, " ")
		indent, hang := text[:len(text)-len(body)], "  "
		if indent != "" {
			hang += indent
		}
		for i, t := range calib.Wrapped(held.Replace(body), compareWide-len(hang)) {
			if i == 0 {
				out = append(out, indent+t)
			} else {
				out = append(out, hang+t)
			}
		}
	}
	dots := c.Dots(sys, compareWide)
	if len(dots) == 0 {
		return out
	}
	out = append(out, "")
	for _, l := range dots {
		out = append(out, spaced(l))
	}
	return append(out, "("+c.DotsLegend()+")")
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

// none ends the comparison where nothing of what was named is there: each is told.
func (v *compareVerb) none(all []marked) error {
	code := exitDone
	for i := range all {
		if all[i].err == nil {
			return nil
		}
	}
	for i := range all {
		code = max(code, report(v.w.err, all[i].err))
	}
	if code != exitDone {
		return told(code)
	}
	return nil
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

// pulls recomputes records. What of those that a person named cannot be read is told
// on the way, and is in the comparison with its reason.
func (v *compareVerb) pulls(ctx context.Context, all []marked) (out []compare.Pull, sys si.System, code int, err error) {
	var dirs []string
	for i := range all {
		if all[i].err == nil {
			dirs = append(dirs, all[i].dir)
		}
	}
	got, err := finish.All(ctx, dirs, 0, 0, nil)
	if err != nil {
		return nil, sys, exitFailed, err
	}
	shown := si.US
	for i := len(got) - 1; i >= 0; i-- {
		if r := got[i].Rec; r != nil && r.Head.Rig != nil {
			shown = r.Head.Rig.Units
		}
	}
	for _, m := range all {
		var p compare.Pull
		fault := m.err
		if m.err != nil {
			p = compare.Unreadable(m.name, m.err)
			p.Dir = "" // it has none
		} else {
			r := &got[0]
			got = got[1:]
			p = pullOf(r)
			switch {
			case r.Err != nil:
				fault = openFault(v.c, m.name, r.Err)
			case r.Damage != nil:
				fault = failf(exitInput, "draghand check says what is intact", "%s: %w", m.name, r.Damage)
			}
		}
		if fault != nil && m.named {
			code = max(code, report(v.w.err, fault))
		}
		p.Marked = m.mark
		out = append(out, p)
	}
	sys, err = v.c.system(shown)
	return out, sys, code, err
}
