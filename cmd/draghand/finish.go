package main

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/finish"
	"draghand/internal/record"
	"draghand/internal/strength"
)

// finisher is one call of the verb.
type finisher struct {
	w    world
	rec  *record.Record
	form finish.Form
	// said are remarks that go into the record with the rest.
	said      []record.Said
	unchanged bool // nothing was written: it stood there already
}

func finishCommand(w world, c *common) *cobra.Command {
	var (
		one                = map[finish.FieldID]*string{}
		diameters, photos  []string
		remarks            []string
		ask, asJSON, given bool
	)
	cmd := &cobra.Command{
		Use:   "finish RECORD",
		Short: "what was measured after the break: by flags, or asked for",
		Long: `finish writes into a pull record what was measured and seen on the broken bar, and
prints what comes of it: elongation, reduction of area, whether the test counts,
and the strength against a minimum.

A broken bar has sharp edges and may still sit under spring or oil: let the
pressure off before the pieces are taken out, and wear gloves to handle them.

Without flags, on a terminal, each is asked for: an empty line leaves it as it is,
"-" empties it, ctrl+d ends without saving. Finishing again corrects: what is not
given stays as it was, and the earlier measurements stay in the record beside the
new. A pull that was cut off can be finished too.

The minimum is that of the alloy, where the table of alloys has just one for it,
unless --minimum states another, or none.`,
		Example: `  draghand finish RECORD
  draghand finish RECORD --final-diameter "9.81 mm" --final-diameter "9.79 mm" --final-gauge "58.7 mm" --where middle --looks "cup-and-cone"
  draghand finish RECORD --dial "5200 psi ± 50 psi" --minimum "40 ksi from the drawing" --photo break-1.jpg`,
		Args: exactly(1, "name one pull record (a folder)"),
		RunE: func(cmd *cobra.Command, args []string) error {
			rec, err := openRecord(c, args[0])
			if err != nil {
				return err
			}
			sys, err := c.system(rec.Head.Rig.Units)
			if err != nil {
				return err
			}
			alloys, err := alloyTable()
			if err != nil {
				return err
			}
			f := &finisher{w: w, rec: rec, form: finish.NewForm(rec.Head, sys, alloys)}
			given = len(remarks) > 0
			texts := map[finish.FieldID]string{finish.FieldDiameters: strings.Join(diameters, "; "), finish.FieldPhotos: strings.Join(photos, "; ")}
			for id, text := range one {
				texts[id] = *text
			}
			set := map[finish.FieldID]bool{}
			var errs []error
			for _, id := range finish.FieldIDs() {
				name := flagOf(id)
				if !cmd.Flags().Changed(name) {
					continue
				}
				given, set[id] = true, true
				if err := f.form.Set(id, texts[id]); err != nil {
					errs = append(errs, fmt.Errorf("--%s: %w", name, err))
				}
			}
			for _, text := range remarks {
				s, err := record.NewSaid(text, time.Now())
				if err != nil {
					errs = append(errs, fmt.Errorf("--remark: %w", err))
				}
				f.said = append(f.said, s)
			}
			if err := errors.Join(errs...); err != nil {
				return failf(exitUsage, "correct it and call again; nothing has been written", "%w", err)
			}
			_, person := terminal(w.in)
			switch {
			case ask, !given && person:
				if err := f.ask(set); err != nil {
					return err
				}
			case !given:
				return failf(exitUsage, "give them by flags, or --ask for them one by one; see draghand finish --help", "nothing to write down: %s", open(f.form.Missing()))
			}
			res, err := f.save()
			if err != nil {
				return err
			}
			return f.tell(res, c, asJSON)
		},
	}
	f := cmd.Flags()
	f.StringArrayVar(&diameters, flagOf(finish.FieldDiameters), nil, `least diameter at the break, such as "9.81 mm"; repeat for several, their mean counts; of another section "5.1 x 2.4 mm" or "tube 11.2 x 1.3 mm"`)
	for _, v := range []struct {
		id    finish.FieldID
		usage string
	}{
		{finish.FieldGauge, `between the gauge marks, the halves put together, such as "58.7 mm"`},
		{finish.FieldWhere, "where it broke: middle, outer-quarter, off-marks, shoulder or grip"},
		{finish.FieldLooks, "what the fracture looks like, by commas: cup-and-cone, slant, flat, coarse, porous, dross, cold-lap, crushed"},
		{finish.FieldFailed, "the part of the rig that gave way in the place of the bar"},
		{finish.FieldDial, `what a dial gauge beside the transducer stood at, at the peak, such as "5200 psi ± 50 psi" or "31 kN at specimen"`},
		{finish.FieldMinimum, `what the strength must reach, such as "40 ksi from the drawing", or none`},
	} {
		one[v.id] = f.String(flagOf(v.id), "", v.usage)
	}
	f.StringArrayVar(&photos, flagOf(finish.FieldPhotos), nil, "file name of a photo; repeat for several")
	f.StringArrayVar(&remarks, "remark", nil, "what else there is to know; repeat for several")
	f.BoolVar(&ask, "ask", false, "ask for what no flag gives, line by line")
	f.BoolVar(&asJSON, "json", false, "the results as JSON, an array of one, in SI")
	return cmd
}

// flagOf is the flag of a field.
func flagOf(id finish.FieldID) string {
	if id == finish.FieldPhotos {
		return "photo" // one at a time
	}
	return string(id)
}

// save writes it all down, or the remarks alone where there is nothing else.
func (f *finisher) save() (strength.Results, error) {
	done, err := f.form.Finished()
	switch {
	case errors.Is(err, finish.ErrNothing) && len(f.said) > 0:
		return f.remarkOnly()
	case errors.Is(err, finish.ErrNothing):
		return strength.Results{}, failf(exitUsage, "give what there is by flags, or --ask for it; see draghand finish --help", "%w; the record stays as it was", err)
	case err != nil:
		return strength.Results{}, failf(exitUsage, "correct it and call again; nothing has been written", "%w", err)
	}
	if len(f.said) == 0 && f.same(done) {
		f.unchanged = true
		res, err := finish.Results(f.rec)
		if err != nil {
			return res, f.unsaved(fmt.Errorf("%w: %w", finish.ErrDamaged, err))
		}
		return res, nil
	}
	res, err := finish.Save(f.rec.Dir, done, f.said...)
	if err != nil {
		return res, f.unsaved(err)
	}
	return res, nil
}

// same says that the record holds just that already.
func (f *finisher) same(done record.Finished) bool {
	last := f.rec.Head.Measured()
	if last == nil {
		return false
	}
	now := *last
	now.At = done.At
	return reflect.DeepEqual(now, done)
}

// remarkOnly keeps what a person says of a pull that nobody measured.
func (f *finisher) remarkOnly() (res strength.Results, err error) {
	for _, s := range f.said {
		if err := record.AddRemark(f.rec.Dir, s.Text); err != nil {
			return res, f.unsaved(err)
		}
	}
	if f.rec, err = record.Open(f.rec.Dir); err != nil {
		return res, f.unsaved(err)
	}
	if res, err = finish.Results(f.rec); err != nil {
		return res, failf(exitInput, "draghand check says what is intact", "the remark was kept; %w", err)
	}
	return res, nil
}

// unsaved says why nothing was written.
func (f *finisher) unsaved(err error) error {
	switch {
	case errors.Is(err, record.ErrBusy):
		return failf(exitSave, "another draghand writes this record: end the pull where it is still recorded, or finish again when the other finish is done; nothing has been written", "%w", err)
	case errors.Is(err, finish.ErrDamaged):
		return failf(exitInput, "draghand check says what is intact; nothing has been written", "%w", err)
	case errors.Is(err, record.ErrFinished), errors.Is(err, record.ErrRemark):
		return failf(exitUsage, "nothing has been written; the record stays as it was", "%w", err)
	}
	return failf(exitSave, "see that there is room and leave to write in "+f.rec.Dir+"; the record stays as it was", "%w", err)
}

// tell prints what came out, and what is still open.
func (f *finisher) tell(res strength.Results, c *common, asJSON bool) error {
	rec, err := record.Open(f.rec.Dir)
	if err != nil {
		return f.unsaved(err)
	}
	missing := finish.Missing(&rec.Head)
	if asJSON {
		if missing == nil {
			missing = []string{}
		}
		return printJSON(f.w.out, []any{struct {
			strength.Results
			Missing []string `json:"missing"`
		}{res, missing}})
	}
	sys, err := c.system(rec.Head.Rig.Units)
	if err != nil {
		return err
	}
	for _, l := range res.Lines(sys, rec.Head.Specimen) {
		fmt.Fprintln(f.w.out, clean(l))
	}
	for _, l := range missing {
		fmt.Fprintln(f.w.out, "open       "+clean(l))
	}
	if f.unchanged {
		fmt.Fprintln(f.w.out, "unchanged  all of it stood in "+clean(rec.Dir)+" already")
		return nil
	}
	fmt.Fprintln(f.w.out, "saved in   "+clean(rec.Dir))
	return nil
}

// open is what is still open in one line.
func open(m []string) string {
	if len(m) > 0 {
		return strings.Join(m, "; ")
	}
	return "no flag is given"
}
