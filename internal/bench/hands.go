package bench

import (
	"errors"
	"fmt"
	"time"

	"draghand/internal/pull"
)

// errRunning refuses a change that a pull does not allow.
var errRunning = errors.New("a pull is being recorded: rig, source, kind and side stay as they are until it is closed")

// Set writes a field. The error is the fault that then stands in the field; what
// is wrong with a rig file or a source only shows once it was tried. While a pull
// runs, what it was armed with cannot be changed.
func (b *Bench) Set(id FieldID, text string) error {
	if !known(id) {
		return fmt.Errorf("there is no field %q: one of %s", tidy(string(id)), fieldList())
	}
	text = tidy(text)
	b.mu.Lock()
	defer b.mu.Unlock()
	opens := id == FieldRig || id == FieldSource || id == FieldKind
	if b.running != nil && (opens || id == FieldTarget || id == FieldHold || id == FieldSide) {
		return errRunning
	}
	old := b.form.texts[id]
	b.form.texts[id] = text
	b.changed()
	switch {
	case id == FieldStock:
		b.stockKept = false // it is said of this bar
	case id == FieldMelt && text != old && b.stockKept: // what is poured is no bought bar
		b.form.texts[FieldStock], b.stockKept = "", false
	}
	switch {
	case id == FieldRig:
		b.reload, b.due = true, true
		b.form.loading, b.form.rigErr = text != "", nil
	case id == FieldSource:
		b.due, b.failed, b.form.sourceErr = true, time.Time{}, nil
	case id == FieldKind && text != old:
		b.due = true
	}
	if text != old && (id == FieldKind || id == FieldTarget) {
		b.forget(PointID.ofPlan)
	}
	if id == FieldSide && text != old {
		b.forget(PointID.ofSide)
		b.kick()
	}
	if opens {
		b.kick()
	}
	fields, _ := b.form.read()
	for _, f := range fields {
		if f.ID == id && f.Fault != "" {
			return errors.New(f.Fault)
		}
	}
	return nil
}

func fieldList() string {
	out := ""
	for i, id := range fieldIDs(pull.Proof) {
		if i > 0 {
			out += ", "
		}
		out += string(id)
	}
	return out
}

// Confirm says of a point that it is seen to, or is not.
func (b *Bench) Confirm(id PointID, done bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	_, s := b.form.read()
	for _, p := range points(s.Kind, b.form.rig, b.units()) {
		if p.ID == id {
			b.seen[id] = done
			b.changed()
			return
		}
	}
}

// forget asks for some points anew. The caller holds mu.
func (b *Bench) forget(which func(PointID) bool) {
	for id := range b.seen {
		if which(id) {
			delete(b.seen, id)
		}
	}
	b.changed()
}

// NextBar makes the bench ready for the next bar of the melt: the next number, no
// diameters yet, and what is about this bar asked for anew. That it is a check bar
// stays, and is told; a bar of another melt is none until somebody says so. While a pull runs it
// does nothing.
func (b *Bench) NextBar() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.running != nil {
		return
	}
	_, s := b.form.read()
	b.form.texts[FieldSpecimen] = b.nextID(s)
	b.form.texts[FieldDiameters] = ""
	b.stockKept = b.form.texts[FieldStock] != ""
	b.forget(PointID.ofBar)
}

// nextID is the number of the next bar of the melt. The caller holds mu.
func (b *Bench) nextID(s Setup) string {
	var taken []string
	for _, bar := range b.bars {
		if bar.Melt == s.Bar.Melt {
			taken = append(taken, bar.Specimen)
		}
	}
	for k := range b.pulled {
		if k.melt == s.Bar.Melt && k.simulated == (s.Bar.Simulated || b.look != nil && b.look.simulated) {
			taken = append(taken, k.id)
		}
	}
	return nextID(s.Bar.ID, taken)
}
