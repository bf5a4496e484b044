package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"

	"github.com/charmbracelet/x/ansi"
)

// Exit codes, as documented in README.md.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
	exitInput  = 3 // bad or damaged input
	exitSource = 4 // the source cannot be opened or was lost for good
	exitSave   = 5 // a record or an answer could not be written
)

// fault is an error with what to do next and the code the program ends with.
type fault struct {
	code int
	err  error
	next string
}

func (f *fault) Error() string { return f.err.Error() }
func (f *fault) Unwrap() error { return f.err }

// Next is what to do about it.
func (f *fault) Next() string { return f.next }

func failf(code int, next, format string, a ...any) error {
	return &fault{code: code, err: fmt.Errorf(format, a...), next: next}
}

// told is a failure already printed in full; only its code is left to say.
type told int

func (t told) Error() string { return fmt.Sprintf("ended with code %d", int(t)) }

// codeOf is the code that an error ends the program with.
func codeOf(err error) int { return report(io.Discard, err) }

// report prints an error as two lines, what is wrong and what to do next, and
// gives the exit code.
func report(w io.Writer, err error) int {
	var t told
	if errors.As(err, &t) {
		return int(t)
	}
	var f *fault
	if !errors.As(err, &f) {
		f = &fault{code: exitFailed, err: err, next: "see draghand --help"}
	}
	fmt.Fprintln(w, "draghand: "+clean(f.err.Error()))
	if f.next != "" {
		fmt.Fprintln(w, "  next: "+clean(f.next))
	}
	return f.code
}

// clean takes control characters out of text that may come from outside, so
// that nothing a device or a file holds can steer the terminal, and what has no
// width or turns the direction of writing, so that two names that look alike are
// alike. Line breaks stay: a rig file's faults are one a line.
func clean(s string) string {
	s = ansi.Strip(s)
	return strings.Map(func(r rune) rune {
		if r == '\n' {
			return r
		}
		if unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp) {
			return -1
		}
		return r
	}, s)
}
