package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"draghand/internal/compare"
	"draghand/internal/finish"
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
		o.Chosen.Behind, o.Chosen.Unread = v.leftBehind(ctx, all)
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
