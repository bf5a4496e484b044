package bench

import (
	"errors"
	"os"
	"path/filepath"

	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
	"draghand/internal/watch"
)

// finish takes what came of a pull, after its record was closed.
func (b *Bench) finish(p *running, res watch.Result) {
	e := &Ended{Bar: p.setup.Bar, Reason: res.Reason, Override: p.reason}
	switch {
	case res.Save == nil:
	case b.o.Rescue == nil:
		e.Saved = "NOT SAVED: " + sentence(res.Save)
		res.Record = ""
	default:
		failed := res.Record
		dir, err := b.o.Rescue(p.w)
		switch {
		case err != nil:
			e.Saved = "NOT SAVED: " + sentence(res.Save) + "; nor elsewhere: " + sentence(err) + ": note the peak by hand"
			res.Record = ""
		case dir != failed: // else the disk was late and answered after all
			e.Saved = "saved in " + tidy(dir) + " instead: " + sentence(res.Save)
			res.Record = dir
		}
	}
	if res.Source != nil {
		e.Source = sentence(res.Source)
	}
	e.Record = res.Record
	if res.Record != "" {
		e.Name = filepath.Base(res.Record)
	}
	e.Results = resultsOf(&res, e.Name)

	b.mu.Lock()
	defer b.mu.Unlock()
	sys := b.units()
	e.Lines = e.Results.Lines(sys, e.Bar)
	if e.Record != "" || e.Saved != "" {
		b.bars = append(b.bars, Bar{
			Record: e.Name, Saved: e.Saved, Specimen: e.Bar.ID, Melt: e.Bar.Melt, Outcome: e.Results.Phase, Strength: inShort(&e.Results, sys),
		})
	}
	if s := &res.State; s.LoadedAt > 0 && e.Bar.ID != "" {
		b.pulled[keyOf(e.Bar)] = earlier{at: res.Head.Started, outcome: e.Results.Phase}
	}
	e.NextID = b.nextID(Setup{Bar: e.Bar})
	b.result, b.ended, b.running = res, e, nil
	b.forget(PointID.ofBar) // whatever is pulled next
	b.kick()
}

// resultsOf gives the results of a pull. They are kept in its record where that was
// saved as it should be; where they cannot be, it is whole all the same, and is
// reckoned anew whenever somebody asks. name is that of the record, empty without one.
func resultsOf(res *watch.Result, name string) strength.Results {
	if res.Save != nil || res.Record == "" {
		return strength.From(finish.Pull(&res.Head, name, res.State, res.Told))
	}
	out, _ := finish.Closed(&res.Head, res.Record, res.State, res.Told)
	return out
}

// inShort is the strength, or what stands for it.
func inShort(r *strength.Results, sys si.System) string {
	switch {
	case r.StrengthPa != nil:
		return si.Stress(*r.StrengthPa).Text(sys)
	case r.StrengthAtLeastPa != nil:
		return "at least " + si.Stress(*r.StrengthAtLeastPa).Text(sys)
	case r.Kind == string(pull.Proof) && r.Hold != nil:
		return "held " + si.Number(r.Hold.HeldS, 1) + " s"
	case r.Peak != nil:
		return si.Force(r.Peak.SpecimenN).Text(sys)
	}
	return ""
}

// Ended is how the last pull came out; nil before it is closed, and from the next
// one's arming on.
func (b *Bench) Ended() *Ended {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.ended
}

// Result is what the watch of the last pull gave, with the folder its record is
// in; the zero value before there was one.
func (b *Bench) Result() watch.Result {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.result
}

// Remark adds what a person says to the last pull's record.
func (b *Bench) Remark(text string) error {
	e := b.Ended()
	if e == nil {
		return errNoPull
	}
	if e.Record == "" {
		return errors.New("the last pull was saved nowhere: note it by hand")
	}
	if err := record.AddRemark(e.Record, text); err != nil {
		return err
	}
	rec, err := record.Open(e.Record)
	if err != nil {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.ended == nil || b.ended.Record != e.Record {
		return nil
	}
	now := *b.ended
	now.Remarks = rec.Head.SaidTexts()
	now.Results.Said = now.Remarks
	now.Lines = now.Results.Lines(b.units(), now.Bar)
	b.ended = &now
	return nil
}

// Measured takes the results of a record whose bar was measured: where it is the
// last pull's, they are what came out of it.
func (b *Bench) Measured(dir string, r strength.Results) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.ended == nil || b.ended.Record != dir {
		return
	}
	now := *b.ended
	now.Results, now.Remarks = r, r.Said
	now.Lines = r.Lines(b.units(), now.Bar)
	b.ended = &now
	if n := len(b.bars); n > 0 && b.bars[n-1].Record == now.Name {
		bars := append([]Bar(nil), b.bars...) // a view may hold the old ones
		bars[n-1].Strength = inShort(&now.Results, b.units())
		b.bars = bars
	}
}

// writable says why no record could be made in a folder, or in the one above it
// that is there: a folder that is missing is made with the first record.
func writable(shelf string) error {
	dir := shelf
	for {
		info, err := os.Stat(dir)
		if err == nil && !info.IsDir() {
			return &os.PathError{Op: "save in", Path: dir, Err: errors.New("it is no folder")}
		}
		if err == nil {
			break
		}
		above := filepath.Dir(dir)
		if !errors.Is(err, os.ErrNotExist) || above == dir {
			return err
		}
		dir = above
	}
	f, err := os.CreateTemp(dir, ".draghand-*")
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}
