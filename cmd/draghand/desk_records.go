package main

import (
	"context"
	"encoding/json"
	"slices"
	"time"

	"draghand/internal/compare"
	"draghand/internal/finish"
	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/strength"
	"draghand/internal/trace"
	"draghand/tui"
)

// Trace never looks at the sitting: the record has all there is to know.
func (d *desk) Trace(dir string) (*trace.Trace, error) { return trace.ReadFine(dir) }

// Prove reads every reading of a record.
func (d *desk) Prove(ctx context.Context, dir string) (*trace.Trace, error) {
	return trace.Prove(ctx, dir)
}

// Noted is what stands in the head of a record.
func (d *desk) Noted(dir string) (tui.Noted, error) {
	rec, err := record.Open(dir)
	if err != nil {
		return tui.Noted{}, err
	}
	h := &rec.Head
	var people, labels []string
	for _, s := range slices.Backward(h.Said) {
		if s.IsLabel() {
			labels = append(labels, s.Text)
		} else {
			people = append(people, s.Text)
		}
	}
	out := tui.Noted{Remarks: slices.Concat(people, h.Overrides, h.Remarks, labels)}
	if m := h.Measured(); m != nil {
		out.Minimum, out.MinimumFrom = m.Minimum, m.MinimumFrom
	}
	var kept struct {
		Verdict *strength.Verdict `json:"verdict"`
	}
	if json.Unmarshal(h.Results, &kept) == nil && kept.Verdict != nil && kept.Verdict.MinimumPa == float64(out.Minimum) {
		out.Says = kept.Verdict.Says
	}
	return out, nil
}

// Reckon recomputes records for a comparison.
func (d *desk) Reckon(ctx context.Context, dirs []string, done func(int)) ([]compare.Pull, error) {
	return reckonPulls(ctx, dirs, done)
}

// reckonPulls recomputes records, several at once, in the order of dirs. A comparison
// uses no draws: the first order's uncertainty has its common part apart.
func reckonPulls(ctx context.Context, dirs []string, done func(int)) ([]compare.Pull, error) {
	all, err := finish.All(ctx, dirs, 0, 0, done)
	if err != nil {
		return nil, err
	}
	out := make([]compare.Pull, len(all))
	for i := range all {
		out[i] = pullOf(&all[i])
	}
	return out, nil
}

// Prints are the fingerprints of records.
func (d *desk) Prints(dirs []string) []string {
	out := make([]string, len(dirs))
	for i, dir := range dirs {
		out[i] = printOf(dir)
	}
	return out
}

// KeepComparison writes the report of a comparison into the working folder, beside no
// other of its name.
func (d *desk) KeepComparison(c *compare.Comparison) (string, error) {
	return keepComparison(d.c, c, ".", time.Now())
}

// Trash moves records of the shelf into its trash.
func (d *desk) Trash(dirs []string) (shelf.Trashed, error) { return shelf.Trash(d.c.shelf(), dirs) }

// Untrash moves them back.
func (d *desk) Untrash(t shelf.Trashed) (shelf.Trashed, error) { return shelf.Untrash(t) }

// Relabel gives a record another label.
func (d *desk) Relabel(dir string, to record.Label) error { return record.Relabel(dir, to) }

func (d *desk) AddRemark(dir, text string) error { return record.AddRemark(dir, text) }

// Recover closes a record that was cut off.
func (d *desk) Recover(dir string) (string, error) { return finish.Recover(dir) }
