package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"draghand/internal/finish"
	"draghand/internal/record"
)

// longestLine bounds a line that is typed, bytes.
const longestLine = 64 << 10

// errLeft says that the person ended before the last question.
var errLeft = errors.New("ended before the last question")

// ask goes through the fields that were not given, one line each. What cannot be
// is told, and asked again. The questions go to standard error: standard output
// is the answer's.
func (f *finisher) ask(given map[finish.FieldID]bool) error {
	sc := bufio.NewScanner(f.w.in)
	sc.Buffer(nil, longestLine)
	say := func(format string, a ...any) { fmt.Fprintln(f.w.err, clean(fmt.Sprintf(format, a...))) }
	say("%s: an empty line leaves a thing as it is, - empties it, ctrl+d ends without saving", f.rec.Name())
	for _, one := range f.form.Fields() {
		if given[one.ID] {
			continue
		}
		say("%s", question(&one))
		for {
			text, err := f.line(sc)
			if err != nil {
				return err
			}
			if text == "" {
				break
			}
			next := f.form.Clone() // so that an empty line after a wrong one leaves what was
			if err := next.Set(one.ID, text); err != nil {
				say("  not taken: %v", err)
				continue
			}
			f.form = next
			if now := f.field(one.ID); now.Read != "" {
				say("  %s", now.Read)
			}
			break
		}
	}
	say("remark, anything else there is to know")
	for {
		text, err := f.line(sc)
		if err != nil {
			return err
		}
		if text == "" || text == "-" {
			return nil
		}
		s, err := record.NewSaid(text, time.Now())
		if err != nil {
			say("  not taken: %v", err)
			continue
		}
		f.said = append(f.said, s)
		return nil
	}
}

// question is what is asked of a field, with what stands there.
func question(one *finish.Field) string {
	q := one.Label + ", " + one.Hint
	if len(one.Choices) > 0 && one.ID != finish.FieldFailed {
		q += " (" + strings.Join(one.Choices, "; ") + ")"
	}
	switch {
	case one.Read != "":
		q += " [now " + one.Read + "]"
	case one.Text != "":
		q += " [now " + one.Text + "]"
	}
	return q
}

// field is a field as it stands now.
func (f *finisher) field(id finish.FieldID) finish.Field {
	for _, one := range f.form.Fields() {
		if one.ID == id {
			return one
		}
	}
	return finish.Field{}
}

// line is the next line of the person; at the end of them it is a failure that
// says that nothing was saved.
func (f *finisher) line(sc *bufio.Scanner) (string, error) {
	fmt.Fprint(f.w.err, "  > ")
	if sc.Scan() {
		return strings.TrimSpace(clean(sc.Text())), nil
	}
	fmt.Fprintln(f.w.err)
	err := sc.Err()
	if err == nil || errors.Is(err, io.EOF) {
		err = errLeft
	}
	return "", failf(exitFailed, "call it again: the record stays as it was", "nothing was saved: %w", err)
}
