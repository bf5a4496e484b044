package finish

import (
	"encoding/json"
	"errors"
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/strength"
)

// Recover closes the record in dir, whose pull was cut off, by what is intact of it,
// and says in one line what that is. The closing state and the results go into
// pull.json in one step; they are those that Results gave before. samples.csv is never
// touched: what is damaged at its end is named and left.
//
// It refuses a record that is closed (record.ErrClosed), one that is being written
// (record.ErrBusy), and one whose head cannot be read, since no rig is guessed. It is
// ErrDamaged where nothing of the readings is intact, or where they can be read and
// are not those that were written.
func Recover(dir string) (said string, err error) {
	var (
		told   strength.Remarks
		state  pull.State
		damage error
	)
	said, err = record.Recover(dir, func(rec *record.Record) (pull.State, error) {
		state, damage = rec.ReplayLines(func(l record.Line) bool {
			told.Add(l.Events)
			return true
		})
		return state, damage
	}, func(rec *record.Record) (json.RawMessage, error) {
		return json.Marshal(Of(rec, state, told, damage))
	})
	if errors.Is(err, record.ErrNotIntact) {
		return "", fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return said, err
}
