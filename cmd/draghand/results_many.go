package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"

	"draghand/internal/finish"
	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// resultsVerb is one call of results.
type resultsVerb struct {
	w                    world
	c                    *common
	asJSON, withBudget   bool
	rigFile, calibration string
}

// asked is a record that was asked for.
type asked struct {
	name string // as a person can name it again
	dir  string
	err  error // it cannot be found
}

// recomputed is what came of it.
type recomputed struct {
	finish.Reckoned
	shown  *record.Record // by which rig; that of Reckoned where no other was asked for
	res    strength.Results
	change *moved
	err    error // it cannot be reckoned by the other rig
}

// inHand is how many records are reckoned before the first of them is printed, for
// each core: so many that none waits long for the slowest, so few that their results
// take no memory to speak of.
const inHand = 32

// run recomputes what was asked for, several at once, and tells it in order. What
// cannot be read does not stop the others; the worst code is the answer.
func (v *resultsVerb) run(ctx context.Context, args []string) error {
	if v.rigFile != "" {
		if _, err := loadRig(v.rigFile); err != nil { // once, not for each record
			return err
		}
	}
	if _, err := v.c.system(si.Metric); err != nil {
		return err
	}
	var all []asked
	for _, name := range args {
		all = append(all, recordsOf(ctx, v.c, name)...)
	}
	answers, code, shown := []any{}, exitDone, 0
	for some := range slices.Chunk(all, inHand*runtime.GOMAXPROCS(0)) {
		got, err := v.reckon(ctx, some)
		if err != nil {
			return err
		}
		for i := range got {
			if got[i].err != nil && (len(all) == 1 || codeOf(got[i].err) == exitUsage) {
				return got[i].err
			}
			answer, worst := v.tell(some[i], &got[i], shown > 0)
			code = max(code, worst)
			if answer != nil {
				answers, shown = append(answers, answer), shown+1
			}
			if !v.asJSON {
				answers = answers[:0] // they are printed
			}
		}
	}
	if v.asJSON {
		if err := printJSON(v.w.out, answers); err != nil {
			return err
		}
	}
	if code != exitDone {
		return told(code)
	}
	return nil
}

// reckon recomputes some records at once.
func (v *resultsVerb) reckon(ctx context.Context, some []asked) ([]recomputed, error) {
	var dirs []string
	for _, a := range some {
		if a.err == nil {
			dirs = append(dirs, a.dir)
		}
	}
	all, err := finish.All(ctx, dirs, 0, finish.Draws, nil)
	if err != nil {
		return nil, err
	}
	out := make([]recomputed, len(some))
	for i, a := range some {
		if a.err != nil {
			out[i].Err = a.err
			continue
		}
		out[i] = recomputed{Reckoned: all[0], shown: all[0].Rec, res: all[0].Results}
		if all[0].Err != nil {
			out[i].Err = openFault(v.c, a.name, all[0].Err)
		}
		all = all[1:]
	}
	if v.rigFile == "" && v.calibration == "" {
		return out, nil
	}
	return out, finish.Each(ctx, len(out), 0, func(i int) {
		if out[i].Err == nil {
			out[i].err = v.byOther(&out[i])
		}
	})
}

// byOther recomputes a record by the rig and the calibration that were asked for.
func (v *resultsVerb) byOther(r *recomputed) error {
	other, note, err := onRig(v.c, r.Rec, v.rigFile, v.calibration)
	if err != nil {
		return err
	}
	now, after, _ := finish.Recompute(other) // the same damage again
	r.shown, r.change = other, whatMoved(r.Rec, other, outcome{r.Results, r.State}, outcome{now, after})
	if v.rigFile != "" {
		now.Remarks = append(now.Remarks, "recomputed with another rig file")
	}
	if note != "" {
		now.Remarks = append(now.Remarks, note)
	}
	r.res = now
	return nil
}

// tell prints what came of one record, and gives it for JSON; nil where nothing did.
func (v *resultsVerb) tell(a asked, r *recomputed, behind bool) (answer any, code int) {
	switch {
	case r.Err != nil:
		return nil, report(v.w.err, r.Err)
	case r.err != nil:
		return nil, report(v.w.err, naming(a.name, r.err))
	case r.Damage != nil:
		code = report(v.w.err, failf(exitInput, "draghand check says what is intact", "%s: %w", a.name, r.Damage))
	}
	sys, err := v.c.system(r.shown.Head.Rig.Units)
	if err != nil {
		return nil, report(v.w.err, err)
	}
	if r.Rec.Writing {
		r.res.Remarks = append([]string{"another program is writing this record, as while it is recorded: what follows is of the readings until now, and whether it counts is not decided"}, r.res.Remarks...)
	}
	answer = answered(r.res, r.change)
	if v.asJSON {
		return answer, code
	}
	if behind {
		fmt.Fprintln(v.w.out)
	}
	printRecomputed(v.w, r.res, r.shown, r.change, sys)
	if v.withBudget {
		for _, l := range budgetLines(r.res.Budget, sys) {
			fmt.Fprintln(v.w.out, l)
		}
	}
	return answer, code
}

// recordsOf are the records that a name stands for: one, or all of a folder of
// records, in the order they were pulled, the newest last. What else lies in the
// folder is passed over.
func recordsOf(ctx context.Context, c *common, name string) []asked {
	path, err := recordPath(c, name)
	if err != nil {
		return []asked{{name: name, err: err}}
	}
	one := []asked{{name: name, dir: path}}
	if !dirExists(path) || record.HasSamples(path) {
		return one
	}
	if _, err := os.Lstat(filepath.Join(path, record.HeadFile)); err == nil {
		return one
	}
	all, err := listFolder(ctx, path)
	if err != nil {
		return one
	}
	var out []asked
	for i := len(all) - 1; i >= 0; i-- { // the list has the newest first
		if all[i].Condition != shelf.Foreign {
			out = append(out, asked{name: all[i].Dir, dir: all[i].Dir})
		}
	}
	if len(out) == 0 {
		return one
	}
	return out
}
