package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/sheet"
)

// understanding says in words what was read out of a table.
func understanding(t *sheet.Table, r *rig.Rig, named bool) (out []string) {
	say := func(what, format string, a ...any) {
		out = append(out, fmt.Sprintf("%-10s ", what)+fmt.Sprintf(format, a...))
	}
	decimal := "decimal point"
	if t.DecimalComma {
		decimal = "decimal comma"
	}
	sep := map[string]string{"tab": "tabs between the columns", "space": "blanks between the columns", "none": "one column"}[t.Separator]
	if sep == "" {
		sep = strconv.Quote(t.Separator) + " between the columns"
	}
	end := t.LineEnd
	if end == "" {
		end = "none"
	}
	say("text", "%s, line ends %s, %s, %s", t.Encoding, end, sep, decimal)
	switch len(t.Header) {
	case 0:
		say("header", "none")
	case 1:
		say("header", "line %d", t.Header[0])
	default:
		say("header", "lines %d and %d", t.Header[0], t.Header[1])
	}
	for _, c := range t.Columns {
		say("column", "%s", columnLine(t, c))
	}
	if t.TimeColumn < 0 {
		say("times", "none in the table: %g rows a second as given", t.Rate)
	}
	say("rows", "%d, lines %d to %d", len(t.Rows), t.Rows[0].Line, t.Rows[len(t.Rows)-1].Line)
	if t.BadRows.Count > 0 {
		say("bad rows", "%s left out: %s", counted(t.BadRows.Count, "row"), evidence(t.BadRows, 3))
	}
	if t.Skipped.Count > 0 {
		say("skipped", "%s: %s", counted(t.Skipped.Count, "line"), skipped(t.Skipped))
	}
	out = append(out, timeLines(t)...)
	say("values", "%g to %g %s%s", t.Low, t.High, t.Load().Unit, map[bool]string{true: ", sign turned"}[t.Flipped])
	if named {
		say("rig", "%s, its sensor sends %s", r.Name, sends(r))
		if words, yes := scaled(t, r); yes {
			say("", "%s", words)
		}
	} else {
		say("rig", "none: force at the specimen as the table has it, its zero untouched, no limits; the area and pressure of its ram mean nothing")
	}
	for _, n := range t.Notes {
		say("note", "%s", n)
	}
	if len(t.Channels) > record.MaxChannels {
		say("note", "%d further columns, the first %d are kept", len(t.Channels), record.MaxChannels)
	}
	return out
}

func columnLine(t *sheet.Table, c sheet.Column) string {
	line := strconv.Itoa(c.Index + 1)
	if c.Name != "" {
		line += " " + strconv.Quote(shorten(c.Name, 40))
	}
	switch {
	case c.Index == t.TimeColumn && t.Clock:
		return line + ": time of day"
	case c.Index == t.TimeColumn:
		return line + ": time in " + c.Unit
	case c.Index == t.LoadColumn && c.Unit != "":
		return line + ": " + string(c.Role) + " in " + shorten(c.Unit, 16)
	case c.Index == t.LoadColumn:
		return line + ": " + string(c.Role)
	case !slices.Contains(t.Channels, c.Index):
		return line + ": ignored"
	}
	line += ": kept beside"
	if c.Role != sheet.Other {
		line += ", " + string(c.Role)
	}
	if c.Unit != "" {
		line += " in " + shorten(c.Unit, 16)
	}
	return line
}

func timeLines(t *sheet.Table) (out []string) {
	first, last := t.Rows[0].Time, t.Rows[len(t.Rows)-1].Time
	line := fmt.Sprintf("%-10s %s s to %s s", "times", seconds(first.Seconds()), seconds(last.Seconds()))
	if t.Rate > 0 && t.TimeColumn >= 0 {
		line += fmt.Sprintf(", %s rows a second in the middle", seconds(t.Rate))
	}
	out = append(out, line)
	if t.Repeated > 0 {
		out = append(out, fmt.Sprintf("%-10s times repeated: %s, kept", "", counted(t.Repeated, "row")))
	}
	if t.Backward > 0 {
		out = append(out, fmt.Sprintf("%-10s times going back: %s, kept in order at the time before", "", counted(t.Backward, "row")))
	}
	if t.Holes > 0 {
		out = append(out, fmt.Sprintf("%-10s holes: %s longer than ten usual ones, the longest %s s after line %d", "", counted(t.Holes, "step"), seconds(t.LongestStep.Seconds()), t.Rows[t.LongestStepRow].Line))
	}
	return out
}

func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// seconds writes a number of seconds, or of rows, as short as it is.
func seconds(v float64) string { return strconv.FormatFloat(v, 'g', 7, 64) }

// evidence names the first lines and why.
func evidence(l sheet.Lines, most int) string {
	var b strings.Builder
	for i, e := range l.First[:min(len(l.First), most)] {
		if i > 0 {
			b.WriteString("; ")
		}
		fmt.Fprintf(&b, "line %d: %s", e.Number, e.Why)
	}
	if l.Count > most {
		fmt.Fprintf(&b, "; and %d more", l.Count-most)
	}
	return b.String()
}

// skipped counts the kept evidence by reason.
func skipped(l sheet.Lines) string {
	var parts []string
	for _, e := range l.First {
		if !slices.Contains(parts, e.Why) {
			parts = append(parts, e.Why)
		}
	}
	return strings.Join(parts, ", ")
}

// shorten cuts a text to n bytes at a rune's beginning.
func shorten(s string, n int) string {
	if len(s) <= n {
		return s
	}
	for n > 0 && !utf8.RuneStart(s[n]) {
		n--
	}
	return s[:n]
}

// plainLine makes a name from a file fit for a record: no control characters,
// valid UTF-8, not long.
func plainLine(s string) string {
	return shorten(strings.ReplaceAll(strings.ToValidUTF8(clean(s), "?"), "\n", " "), 80)
}

func plainLines(in []string) []string {
	out := make([]string, len(in))
	for i, s := range in {
		out[i] = shorten(strings.ToValidUTF8(clean(s), "?"), 300)
	}
	return out
}

// importJSON is the answer for one file.
type importJSON struct {
	File         string       `json:"file"`
	SHA256       string       `json:"sha256"`
	Encoding     string       `json:"encoding"`
	LineEnd      string       `json:"line_end"`
	Separator    string       `json:"separator"`
	DecimalComma bool         `json:"decimal_comma"`
	Header       []int        `json:"header_lines"`
	Columns      []columnJSON `json:"columns"`
	Lines        int          `json:"lines"`
	Rows         int          `json:"rows"`
	BadCount     int          `json:"bad_rows"`
	BadRows      []lineJSON   `json:"bad_rows_first"`
	SkippedCount int          `json:"skipped_lines"`
	Skipped      []lineJSON   `json:"skipped_lines_first"`
	First        *float64     `json:"time_first_s"`
	Last         *float64     `json:"time_last_s"`
	Rate         float64      `json:"rate_hz"`
	Repeated     int          `json:"times_repeated"`
	Backward     int          `json:"times_backward"`
	Holes        int          `json:"holes"`
	LongestStep  float64      `json:"longest_step_s"`
	Low          *float64     `json:"value_low"`
	High         *float64     `json:"value_high"`
	Flipped      bool         `json:"sign_turned"`
	Notes        []string     `json:"notes"`
	Before       *string      `json:"imported_before"`
	CutOff       *string      `json:"cut_off_before"` // a record that holds a part of the file
	LeftOut      *string      `json:"left_out"`       // of a folder: why it was not imported, no fault of it
	Record       *string      `json:"record"`
	Error        *string      `json:"error"`
}

type columnJSON struct {
	Number int    `json:"number"`
	Name   string `json:"name"`
	Unit   string `json:"unit"`
	Role   string `json:"role"`
	Use    string `json:"use"` // "time", "load", "channel", "ignored"
}

type lineJSON struct {
	Line int    `json:"line"`
	Why  string `json:"why"`
	Text string `json:"text"`
}

func (a *importJSON) understood(t *sheet.Table) {
	a.Encoding, a.LineEnd, a.Separator, a.DecimalComma = t.Encoding, t.LineEnd, t.Separator, t.DecimalComma
	a.Header, a.Lines, a.Rows = append([]int{}, t.Header...), t.Lines, len(t.Rows)
	for _, c := range t.Columns {
		use := "ignored"
		switch {
		case c.Index == t.TimeColumn:
			use = "time"
		case c.Index == t.LoadColumn:
			use = "load"
		case slices.Contains(t.Channels, c.Index):
			use = "channel"
		}
		a.Columns = append(a.Columns, columnJSON{Number: c.Index + 1, Name: clean(c.Name), Unit: clean(c.Unit), Role: string(c.Role), Use: use})
	}
	lines := func(l sheet.Lines) []lineJSON {
		out := []lineJSON{}
		for _, e := range l.First {
			out = append(out, lineJSON{Line: e.Number, Why: clean(e.Why), Text: clean(e.Text)})
		}
		return out
	}
	a.BadCount, a.BadRows = t.BadRows.Count, lines(t.BadRows)
	a.SkippedCount, a.Skipped = t.Skipped.Count, lines(t.Skipped)
	first, last := t.Rows[0].Time.Seconds(), t.Rows[len(t.Rows)-1].Time.Seconds()
	low, high := t.Low, t.High
	a.First, a.Last, a.Low, a.High = &first, &last, &low, &high
	a.Rate, a.Repeated, a.Backward = t.Rate, t.Repeated, t.Backward
	a.Holes, a.LongestStep, a.Flipped = t.Holes, t.LongestStep.Seconds(), t.Flipped
	a.Notes = append(a.Notes, t.Notes...)
}
