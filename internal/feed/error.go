package feed

import (
	"errors"
	"fmt"
	"runtime/debug"
)

// What an Error is about, for errors.Is.
var (
	// ErrSource: the source cannot be opened, or is lost for good.
	ErrSource = errors.New("source cannot be used")
	// ErrSpec: the text that names the source is not understood.
	ErrSpec = errors.New("source not understood")
)

// Error is a fault that a person is told in two parts: what is wrong and on
// what, and what to do next.
type Error struct {
	What string
	Hint string
	Err  error // the cause, may be nil
	kind error // ErrSource or ErrSpec
}

// Error is what is wrong, on what.
func (e *Error) Error() string { return e.What }

// Next is what to do next.
func (e *Error) Next() string { return e.Hint }

// Unwrap gives the cause and the kind, so that errors.Is finds both.
func (e *Error) Unwrap() []error {
	if e.Err == nil {
		return []error{e.kind}
	}
	return []error{e.kind, e.Err}
}

// caught turns a panic into an error, to be deferred: a fault in the reading
// must not take the screen, the record and the rest of the program with it.
func caught(name string, err *error) {
	if r := recover(); r != nil {
		*err = &Error{
			What: fmt.Sprintf("reading from %q failed inside the program: %v", name, r),
			Hint: "start again; what was recorded so far is kept; please report this",
			Err:  fmt.Errorf("panic: %v\n%s", r, debug.Stack()),
			kind: ErrSource,
		}
	}
}
