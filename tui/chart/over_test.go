package chart

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
)

// rising is a trace from a time on, n pieces of 10 ms from 0 to top.
func rising(letter rune, from time.Duration, n int, top float64) Trace {
	t := Trace{Letter: letter, HasPeak: true, Peak: from + time.Duration(n-1)*10*time.Millisecond}
	for i := range n {
		v := top * float64(i) / float64(n-1)
		t.Pieces = append(t.Pieces, Piece{At: from + time.Duration(i)*10*time.Millisecond, Low: v, High: v})
	}
	return t
}

func drawOver(w, h int, in Over) string {
	var c Chart
	return strings.Join(c.DrawOver(w, h, in, &plainPalette), "\n")
}

// usualOver is two traces that rise from one second before the moment to three after.
func usualOver() Over {
	b := rising('b', -time.Second, 400, 600)
	b.Pattern, b.Ink = 1, 1
	return Over{Traces: []Trace{rising('a', -time.Second, 400, 1000), b}, Front: -1, From: -2 * time.Second, To: 4 * time.Second, Bottom: -50, Top: 1100, Per: 1, Unit: "N"}
}

func TestOverMarks(t *testing.T) {
	frame := drawOver(100, 24, usualOver())
	for _, want := range []string{"a", "b", "┆", "'0 s", "'-1 s", "'3 s", "1,000▏", "N"} {
		if !strings.Contains(frame, want) {
			t.Errorf("%q is not in\n%s", want, frame)
		}
	}
	for _, letter := range []string{"a", "b"} { // half-way up, and where peak and end are one, beside each other
		if n := strings.Count(frame, letter); n != 3 {
			t.Errorf("%s stands there %d times:\n%s", letter, n, frame)
		}
	}
	if strings.Contains(frame, "'4 s") {
		t.Errorf("a time is written that has no room:\n%s", frame)
	}
}

// A spike of one piece among thousands is drawn over the whole height, whatever its
// pattern.
func TestOverKeepsASpike(t *testing.T) {
	for pattern := range MaxCurves {
		flat := Trace{Pattern: pattern}
		for i := range 6000 {
			flat.Pieces = append(flat.Pieces, Piece{At: time.Duration(i) * time.Millisecond, Low: 10, High: 10})
		}
		for _, i := range []int{0, 1, 2999, 5998} {
			was := flat.Pieces[i]
			flat.Pieces[i].High = 990
			rows := dotRows(drawOver(120, 20, Over{Traces: []Trace{flat}, Front: -1, To: 6 * time.Second, Top: 1000, Per: 1, Unit: "N"}))
			flat.Pieces[i] = was
			if len(rows) < 5 || rows[0] != 0 {
				t.Errorf("pattern %d: a spike in piece %d is drawn on rows %v", pattern, i, rows)
			}
		}
	}
}

// Where two run over each other the one in front is drawn, and the letters of both
// stand on the line.
func TestOverFront(t *testing.T) {
	in := usualOver()
	in.Traces[1].Pieces = in.Traces[0].Pieces
	inks := func(front int) (out []Ink) {
		var c Chart
		in.Front = front
		c.DrawOver(100, 24, in, &plainPalette)
		for _, k := range c.inks {
			if k >= Curve && !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
		slices.Sort(out)
		return out
	}
	for front, want := range map[int][]Ink{-1: {Curve, Curve + 1}, 0: {Curve + 1, Front}, 1: {Curve, Front + 1}} {
		if got := inks(front); !slices.Equal(got, want) {
			t.Errorf("in front %d: inks %v, want %v (the other by its letters alone)", front, got, want)
		}
	}
	in.Front = 1
	frame := drawOver(100, 24, in)
	if strings.Count(frame, "a") != 3 || strings.Count(frame, "b") != 3 {
		t.Errorf("letters are missing:\n%s", frame)
	}
}

// Half-way up there is no letter where the window begins above it, nor where the column
// of the peak itself is empty.
func TestOverHalfUp(t *testing.T) {
	in := usualOver()
	in.Traces = in.Traces[:1]
	in.From, in.To = 1500*time.Millisecond, 4*time.Second
	if n := strings.Count(drawOver(100, 24, in), "a"); n != 2 {
		t.Errorf("begun above it, the letter stands there %d times", n)
	}
	in = usualOver()
	in.Traces = in.Traces[:1]
	in.Traces[0].Peak = 3500 * time.Millisecond // after the last piece
	frame := drawOver(100, 24, in)
	first := strings.Split(frame, "\n")[22]
	if strings.Contains(first, "a") {
		t.Errorf("the letter stands at the foot:\n%s", frame)
	}
}

// No line joins what has a gap between it.
func TestOverGap(t *testing.T) {
	for _, gap := range []bool{false, true} {
		tr := Trace{}
		for i := range 300 {
			if at := time.Duration(i) * 10 * time.Millisecond; at <= time.Second || at >= 2*time.Second {
				tr.Pieces = append(tr.Pieces, Piece{At: at, Low: 500, High: 500, Gap: gap && at == 2*time.Second})
			}
		}
		frame := drawOver(100, 10, Over{Traces: []Trace{tr}, Front: -1, To: 3 * time.Second, Top: 1000, Per: 1, Unit: "N"})
		row := strings.Split(frame, "\n")[dotRows(frame)[0]]
		line := strings.TrimRightFunc(row[strings.IndexFunc(row, braille):], func(r rune) bool { return !braille(r) })
		if joined := !strings.Contains(line, "     "); joined == gap {
			t.Errorf("gap %v: joined = %v in %q", gap, joined, line)
		}
	}
}

// The patterns differ from each other in a cell or more within the sample of a list,
// in ASCII too.
func TestOverPatternsDiffer(t *testing.T) {
	seen := map[string]int{}
	for i := range MaxCurves {
		s := Sample(i, 10)
		if n, twice := seen[s]; twice {
			t.Errorf("patterns %d and %d look alike: %q", n, i, s)
		}
		seen[s] = i
		if ansi.StringWidth(s) != 10 {
			t.Errorf("the sample of %d is %d wide", i, ansi.StringWidth(s))
		}
	}
	if Sample(MaxCurves, 6) != Sample(0, 6) || Sample(-1, 6) != Sample(MaxCurves-1, 6) || Sample(3, -1) != "" {
		t.Error("a pattern beyond the ends is not one of them")
	}
}

func TestOverSurvivesAnything(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	bad := Trace{Letter: 'x', HasPeak: true, Peak: time.Millisecond, Pieces: []Piece{
		{At: 0, Low: nan, High: nan},
		{At: 1, Low: -inf, High: inf},
		{At: time.Millisecond, Low: -1e300, High: 1e300},
		{At: 2 * time.Millisecond, Low: 5, High: 1},
		{At: 3 * time.Millisecond, Low: 1, High: 2, Gap: true},
		{At: time.Duration(math.MaxInt64), Low: 1, High: 2},
	}}
	some := func(edit func(in *Over)) Over {
		in := Over{Traces: []Trace{bad, {}, bad}, Front: 7, From: -time.Millisecond, To: 6 * time.Millisecond, Top: 100, Per: 1, Unit: "N"}
		edit(&in)
		return in
	}
	many := make([]Trace, 20)
	for i := range many {
		many[i] = rising('y', 0, 100, 50)
		many[i].Pattern, many[i].Ink = -i, 3*i-7
	}
	for name, in := range map[string]Over{
		"nothing":     {},
		"bad":         some(func(in *Over) {}),
		"nan range":   some(func(in *Over) { in.Top = nan }),
		"huge range":  some(func(in *Over) { in.Bottom, in.Top = -1e300, 1e300 }),
		"endless":     some(func(in *Over) { in.Top = math.MaxFloat64; in.Bottom = -math.MaxFloat64 }),
		"backwards":   some(func(in *Over) { in.To = in.From }),
		"no unit":     some(func(in *Over) { in.Per = 0 }),
		"tiny unit":   some(func(in *Over) { in.Per = 5e-324 }),
		"many":        some(func(in *Over) { in.Traces, in.To = many, time.Second }),
		"before":      some(func(in *Over) { in.From, in.To = -time.Hour, -time.Minute }),
		"all of time": some(func(in *Over) { in.From, in.To = math.MinInt64/2, math.MaxInt64/2 }),
	} {
		var c Chart
		for w := -1; w < 60; w++ {
			for h := -1; h < 14; h++ {
				lines := c.DrawOver(w, h, in, &plainPalette)
				if len(lines) != max(h, 0) {
					t.Fatalf("%s: DrawOver(%d, %d) gave %d lines", name, w, h, len(lines))
				}
				for _, l := range lines {
					if n := ansi.StringWidth(l); n > max(w, 0) {
						t.Fatalf("%s: DrawOver(%d, %d) gave a line %d wide: %q", name, w, h, n, l)
					}
				}
			}
		}
	}
}

func TestOverIsTheSameFrameAgain(t *testing.T) {
	var c Chart
	first := strings.Join(c.DrawOver(100, 20, usualOver(), &plainPalette), "\n")
	c.Draw(40, 10, Input{Trace: ramp(100, 9e4, 3), To: time.Second, Top: 1e5}, &plainPalette)
	c.DrawOver(60, 30, Over{Traces: []Trace{rising('q', 0, 90, 5)}, To: time.Second, Top: 6, Per: 1, Unit: "kN"}, &plainPalette)
	if again := strings.Join(c.DrawOver(100, 20, usualOver(), &plainPalette), "\n"); again != first {
		t.Errorf("after other frames the first is drawn as\n%s\nwant\n%s", again, first)
	}
}
