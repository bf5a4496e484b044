package bench

import (
	"reflect"
	"time"

	"draghand/internal/specimen"
)

// rereadAfter is how often the rig file is read again: somebody may have written
// in it since.
const rereadAfter = time.Second

// tendRig reads the rig where another is asked for, and again from time to time,
// or at once. A file that was changed counts as it is now; one that cannot be used
// any more leaves no rig, and the one before comes back with the file.
func (b *Bench) tendRig(atOnce bool) {
	b.mu.Lock()
	path, from := b.form.texts[FieldRig], b.form.texts[FieldSource]
	kind, _ := b.form.kind()
	key := "file " + path
	if path == "" {
		key = "none"
		if simulated(from) {
			key = "built in for " + string(kind)
		}
	}
	_, setup := b.form.read()
	far := setup.Bar.Side == specimen.Far
	if far {
		key += ", far"
	}
	again := path != "" && (atOnce || time.Since(b.rigRead) >= rereadAfter)
	idle := key == b.rigKey && !b.reload && !again
	b.reload = false
	b.mu.Unlock()
	if idle {
		return
	}
	r, told, err := b.rigOf(path, from, kind, far)
	if r != nil { // where the bar stands is the set-up's matter
		r = r.BarOn(false)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if path != b.form.texts[FieldRig] { // changed meanwhile: it is read next
		return
	}
	b.rigRead = time.Now()
	if key != b.rigKey || b.form.loading || !sameWords(err, b.form.rigErr) || told != b.reckoned {
		b.changed()
	}
	b.rigKey, b.form.loading, b.form.rigErr, b.reckoned = key, false, err, told
	switch {
	case err != nil:
		b.form.rig = nil
	case reflect.DeepEqual(r, b.lastRig): // the same pointer: what hangs on it stays
		if b.form.rig != b.lastRig {
			b.form.rig = b.lastRig
			b.changed()
		}
	default:
		b.form.rig, b.lastRig = r, r
		b.forget(func(id PointID) bool { return !id.ofPeople() })
	}
}

// sameWords says that two errors tell the same.
func sameWords(a, b error) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return a.Error() == b.Error()
}
