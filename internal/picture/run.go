package picture

import (
	"context"
	"fmt"
	"time"
)

// Options is what to run and how. Only Cmd is needed.
type Options struct {
	Cmd  string
	Args []string
	Env  []string // "NAME=value", added to this process's own
	Dir  string   // where to run it; empty: here

	Cols, Rows int // default 120×40
	Theme      *Theme

	// Silent makes a terminal that answers no query (cursor position,
	// background colour), like a serial console or a bare relay.
	Silent bool

	// Steps are done in order by Run; a Terminal ignores them.
	Steps []Step

	// Timeout bounds each wait for a text or for the end. Default 20 s.
	Timeout time.Duration
}

func (o Options) withDefaults() Options {
	if o.Cols <= 0 {
		o.Cols = 120
	}
	if o.Rows <= 0 {
		o.Rows = 40
	}
	if o.Timeout <= 0 {
		o.Timeout = 20 * time.Second
	}
	if o.Theme == nil {
		t := Dark()
		o.Theme = &t
	}
	return o
}

// A Step is one thing to do: exactly one of its fields is set.
type Step struct {
	Wait  time.Duration // let time pass
	Until string        // wait till a row shows this text
	Gone  string        // wait till no row shows this text
	Keys  string        // type these bytes
	Shot  string        // keep the screen under this name
	Exit  bool          // wait till the program ends
	Cols  int           // resize, with Rows
	Rows  int
}

// Wait is a step that lets time pass.
func Wait(d time.Duration) Step { return Step{Wait: d} }

// Until is a step that waits till a row shows text.
func Until(text string) Step { return Step{Until: text} }

// Press is a step that types bytes as they are; see Keys for names of keys.
func Press(bytes string) Step { return Step{Keys: bytes} }

// Shot is a step that keeps the screen.
func Shot(name string) Step { return Step{Shot: name} }

// Exit is a step that waits till the program ends.
func Exit() Step { return Step{Exit: true} }

// A Kept is a screen kept by a Shot.
type Kept struct {
	Name   string
	Screen *Screen
}

// Result is what Run saw.
type Result struct {
	Shots []Kept
	Last  *Screen // at the end of the steps, or where a step failed
	// Code is the program's exit code, -1 where a signal ended it (as Run does
	// with a program still running after the last step that will not end).
	Code int
}

// A TimeoutError says that what a step waited for did not come.
type TimeoutError struct {
	What   string
	After  time.Duration
	Ended  bool // the program had ended by then
	Screen *Screen
}

func (e *TimeoutError) Error() string {
	if e.Ended {
		return fmt.Sprintf("waiting for %s: the program ended without it", e.What)
	}
	return fmt.Sprintf("waiting for %s: not within %v", e.What, e.After)
}

// Run starts the program, does the steps and ends the program. On an error the
// result holds what was seen until then.
func Run(ctx context.Context, o Options) (*Result, error) {
	t, err := Start(ctx, o)
	if err != nil {
		return nil, err
	}
	r := &Result{Code: -1}
	for _, s := range o.Steps {
		if err = do(ctx, t, s, r); err != nil {
			break
		}
	}
	r.Last = t.Screen()
	r.Code = t.Close()
	return r, err
}

func do(ctx context.Context, t *Terminal, s Step, r *Result) error {
	switch {
	case s.Wait > 0:
		return t.Wait(ctx, s.Wait)
	case s.Until != "":
		_, err := t.Until(ctx, fmt.Sprintf("the text %q", s.Until), func(c *Screen) bool { return c.Contains(s.Until) })
		return err
	case s.Gone != "":
		_, err := t.Until(ctx, fmt.Sprintf("the text %q to go", s.Gone), func(c *Screen) bool { return !c.Contains(s.Gone) })
		return err
	case s.Keys != "":
		return t.Type(s.Keys)
	case s.Shot != "":
		r.Shots = append(r.Shots, Kept{s.Shot, t.Screen()})
	case s.Exit:
		_, err := t.Exit(ctx)
		return err
	case s.Cols > 0 && s.Rows > 0:
		return t.Resize(s.Cols, s.Rows)
	}
	return nil
}
