package watch

import (
	"errors"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
)

// keeper is where readings and marks are kept, as record.Writer does.
type keeper interface {
	Append(t time.Duration, dev, raw []byte, note string) (bad int)
	Mark(t time.Duration, m pull.Mark, count int, text string) (bad int)
	Event()
	Begun(at time.Time)
	Dir() string // empty where nothing is kept
	Name() string
	Health() record.Health
	Close(record.Closing) error
	Abandon() error
	SaveElsewhere(shelf string) error
}

var (
	_ keeper = (*record.Writer)(nil)
	_ keeper = keepNothing{}
)

// keepNothing is for a look: nothing is kept of it.
type keepNothing struct{}

func (keepNothing) Append(time.Duration, []byte, []byte, string) int { return 0 }

// Mark gives every bad line to the engine.
func (keepNothing) Mark(_ time.Duration, m pull.Mark, count int, _ string) int {
	if m == pull.Bad {
		return max(count, 1)
	}
	return 0
}

func (keepNothing) Event()                     {}
func (keepNothing) Begun(time.Time)            {}
func (keepNothing) Dir() string                { return "" }
func (keepNothing) Name() string               { return "" }
func (keepNothing) Health() record.Health      { return record.Health{} }
func (keepNothing) Close(record.Closing) error { return nil }
func (keepNothing) Abandon() error             { return nil }

func (keepNothing) SaveElsewhere(string) error {
	return errors.New("nothing is recorded: there is nothing to save")
}
