package finish

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// Draws of the Monte Carlo in the results of one record: so many that its own
// scatter in the ends of the interval is under a hundredth of it.
const Draws = 100_000

// Seed of the Monte Carlo: of the record's name (FNV-1a, 64 bit), so that the same
// record gives the same figures each time, and two records are not drawn alike.
func Seed(name string) uint64 {
	h := fnv.New64a()
	_, _ = h.Write([]byte(name)) // never fails
	return h.Sum64()
}

// Pull is all that the results of a record are made of: the state its readings
// end in, what was told on the way, and what stands in its head. Measurements
// that cannot be of this bar, as somebody may have typed them into pull.json, are
// left out; Results says so.
func Pull(h *record.Head, name string, s pull.State, told strength.Remarks) strength.Pull {
	p := strength.Pull{
		Record: name, State: s, Config: h.Config(), Bar: h.Specimen, Told: told, Said: h.SaidTexts(), Overrides: h.Overrides,
		Started: h.Started, Seed: Seed(name), Draws: Draws, Imported: h.Imported != nil,
	}
	m := h.Measured()
	if m == nil || m.Fits(h) != nil {
		return p
	}
	p.After = &m.After
	if m.Dial != nil {
		p.Dial, p.DialError = onSpecimen(m.Dial, h.Config().Rig)
	}
	return p
}

// onSpecimen is a dial's peak as force on the specimen, and its limit of error; nil
// where none is stated. A calibration with a reference gauge mends the sensor, and
// a dial is none.
func onSpecimen(d *record.Dial, r *rig.Rig) (peak, limit *si.Force) {
	if c := r.Calibration; c != nil && c.At == rig.AtGauge {
		bare := *r
		bare.Calibration = nil
		r = &bare
	}
	p, e := d.Gauge(r)
	c := r.Chain()
	f := c.Specimen(p)
	if d.Force != nil && d.At == rig.AtSpecimen {
		f = *d.Force
	}
	if e > 0 {
		u := c.Specimen(p+e) - c.Specimen(p)
		limit = &u
	}
	return &f, limit
}

// Of gives the results of a record from the state its readings end in, with
// remarks on a record that was never closed, is damaged, or holds measurements
// that cannot be. damage is the error of the replay.
func Of(rec *record.Record, s pull.State, told strength.Remarks, damage error) strength.Results {
	return of(rec, s, told, damage, Draws)
}

// of is Of with another number of draws; 0: none.
func of(rec *record.Record, s pull.State, told strength.Remarks, damage error, draws int) strength.Results {
	p := Pull(&rec.Head, rec.Name(), s, told)
	p.Damaged, p.Draws = damage != nil, draws
	c := rec.Head.Closing
	p.CutOff = c == nil || c.Recovered != nil
	out := strength.From(p)
	if m := rec.Head.Measured(); m != nil {
		if err := m.Fits(&rec.Head); err != nil {
			out.Remarks = append(out.Remarks, "what was measured after the pull is left out: "+joined(err))
		}
	}
	switch {
	case c == nil:
		out.Remarks = append(out.Remarks, "the record was never closed: these are the readings that were saved")
	case c.Recovered != nil:
		out.Remarks = append(out.Remarks, "the pull was cut off and its record closed later: these are the readings that were saved")
	}
	if damage != nil {
		out.Remarks = append(out.Remarks, Damage(damage))
	}
	return out
}

// Damage is the remark on what was made of a damaged record.
func Damage(damage error) string {
	if d, ok := errors.AsType[*record.DamageError](damage); ok && d.Altered {
		return "the record is damaged: its readings are not as they were written, and what is reckoned from them is not to be relied on"
	}
	return "the record is damaged: only what is intact was used"
}

// Results recomputes a record from its readings, with all that was measured
// after the pull. Of a damaged record they are those of what is intact, and the
// damage is the error.
func Results(rec *record.Record) (strength.Results, error) {
	out, _, damage := Recompute(rec)
	return out, damage
}

// Recompute is Results with the state that the readings end in.
func Recompute(rec *record.Record) (strength.Results, pull.State, error) {
	return recompute(context.Background(), rec, Draws)
}

// ErrDamaged says that a record is not as it was written: nothing more is put into
// it.
var ErrDamaged = errors.New("the record is damaged")

// Save writes what was measured into the record in dir, with the results that
// come of it, and gives those. said are remarks that go with it. Whatever the error, nothing that stood in the
// record is lost: record.ErrFinished where the measurements cannot be,
// record.ErrBusy while the pull is recorded, ErrDamaged where the readings are not
// as they were written. A record that was cut off can be finished.
func Save(dir string, f record.Finished, said ...record.Said) (strength.Results, error) {
	var out strength.Results
	err := record.Finish(dir, f, said, func(rec *record.Record) (json.RawMessage, error) {
		if r := record.Check(dir); !r.Intact() {
			why := "see draghand check"
			if len(r.Reasons) > 0 {
				why = r.Reasons[0]
			}
			return nil, fmt.Errorf("%w: %s", ErrDamaged, why)
		}
		if whole(&rec.Head) && (f.Where != specimen.NotLookedAt || len(f.Looks) > 0) {
			return nil, fmt.Errorf("%w: %w", record.ErrFinished, errWhole)
		}
		var err error
		if out, err = Results(rec); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
		}
		return json.Marshal(out)
	})
	return out, err
}
