package chart

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/si"
	"draghand/internal/watch"
)

// plainPalette prints no escape sequence at all.
var plainPalette Palette

// ramp is a trace of n columns of 1 ms rising to top newtons, with a spike.
func ramp(n int, top float64, spike int) *watch.Trace {
	tr := &watch.Trace{Bin: time.Millisecond}
	for i := range n {
		f := float32(top * float64(i) / float64(n))
		tr.Columns = append(tr.Columns, watch.Column{Min: f, Max: f})
	}
	if spike >= 0 {
		tr.Columns[spike].Max = float32(top)
	}
	return tr
}

func draw(w, h int, in Input) string {
	var c Chart
	return strings.Join(c.Draw(w, h, in, &plainPalette), "\n")
}

func dotRows(frame string) (rows []int) {
	for y, l := range strings.Split(frame, "\n") {
		if strings.ContainsFunc(l, braille) {
			rows = append(rows, y)
		}
	}
	return rows
}

func braille(r rune) bool { return r > 0x2800 && r <= 0x28ff }

func TestDrawKeepsASpikeOfOneColumn(t *testing.T) {
	// 4096 columns of 1 ms over 2×~110 dot columns: 18 columns share a dot, and
	// only one of them holds the spike.
	flat := watch.Trace{Bin: time.Millisecond}
	for range 4096 {
		flat.Columns = append(flat.Columns, watch.Column{Min: 10, Max: 10})
	}
	in := Input{Trace: &flat, To: 4096 * time.Millisecond, Top: 1000}
	before := dotRows(draw(120, 20, in))
	for _, i := range []int{0, 1, 2047, 4095} {
		was := flat.Columns[i]
		flat.Columns[i].Max = 990
		rows := dotRows(draw(120, 20, in))
		flat.Columns[i] = was
		if len(before) != 1 || len(rows) != 19 || rows[0] != 0 {
			t.Errorf("spike in column %d is drawn on rows %v, want all 19 (without it %v)", i, rows, before)
		}
	}
}

func TestDrawSurvivesAnything(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	bad := &watch.Trace{Bin: time.Millisecond, Columns: []watch.Column{
		{Min: nan, Max: nan},
		{Min: -inf, Max: inf},
		{Min: inf, Max: -inf},
		{Min: -3e38, Max: 3e38},
		{Min: 5, Max: 1},
		{Min: 1, Max: 2},
	}}
	tests := map[string]Input{
		"nothing":       {},
		"no trace":      {To: time.Second, Top: 1},
		"bad columns":   {Trace: bad, To: 6 * time.Millisecond, Top: 100, HasHand: true, Hand: si.Force(math.Inf(1))},
		"empty bin":     {Trace: &watch.Trace{Columns: bad.Columns}, To: time.Second, Top: 100},
		"nan range":     {Trace: bad, To: time.Second, Top: si.Force(math.NaN())},
		"inf range":     {Trace: bad, To: time.Second, Bottom: si.Force(math.Inf(-1)), Top: 1},
		"upside down":   {Trace: bad, To: time.Second, Bottom: 2, Top: 1},
		"backwards":     {Trace: bad, From: time.Second, To: 0, Top: 1},
		"tiny range":    {Trace: bad, To: time.Second, Bottom: 1e6, Top: 1e6 + 1e-9},
		"huge range":    {Trace: bad, To: time.Second, Bottom: -1e300, Top: 1e300},
		"denormal":      {Trace: bad, To: time.Second, Top: 5e-324},
		"long":          {Trace: ramp(4000, 5e4, 17), To: time.Duration(math.MaxInt64), Top: 5e4},
		"short":         {Trace: ramp(4000, 5e4, 17), From: 1, To: 2, Top: 5e4},
		"names":         {Trace: ramp(100, 5e4, 17), To: time.Second, Top: 6e4, Levels: []Level{{At: 5e4, Name: "stop 橋の棒 bar", Ink: Stop}, {At: 4e4, Name: strings.Repeat("x", 500), Ink: Caution}, {At: si.Force(math.NaN()), Name: "n", Ink: Stop}}},
		"break outside": {Trace: ramp(100, 5e4, 17), To: time.Second, Top: 6e4, HasBreak: true, Break: time.Hour},
		"break":         {Trace: ramp(100, 5e4, 17), To: time.Second, Top: 6e4, HasBreak: true, Break: 999 * time.Millisecond, HasHand: true, Hand: 5e4},
	}
	for name, in := range tests {
		var c Chart
		for w := -1; w < 60; w++ {
			for h := -1; h < 14; h++ {
				lines := c.Draw(w, h, in, &plainPalette)
				if len(lines) != max(h, 0) {
					t.Fatalf("%s: Draw(%d, %d) gave %d lines", name, w, h, len(lines))
				}
				for _, l := range lines {
					if n := ansi.StringWidth(l); n > max(w, 0) {
						t.Fatalf("%s: Draw(%d, %d) gave a line %d wide: %q", name, w, h, n, l)
					}
				}
			}
		}
	}
}

func TestDrawIsTheSameFrameAgain(t *testing.T) {
	var c Chart
	in := Input{Trace: ramp(4000, 5e4, 17), To: 4 * time.Second, Top: 6e4, HasHand: true, Hand: 5e4}
	first := strings.Join(c.Draw(100, 20, in, &plainPalette), "\n")
	c.Draw(40, 10, Input{Trace: ramp(100, 9e4, 3), To: time.Second, Top: 1e5}, &plainPalette)
	if again := strings.Join(c.Draw(100, 20, in, &plainPalette), "\n"); again != first {
		t.Errorf("after another frame the first is drawn as\n%s\nwant\n%s", again, first)
	}
}

func TestDrawJoinsReadingsButNotGaps(t *testing.T) {
	tests := []struct {
		name string // source: the rule of joinGap, by hand
		gap  time.Duration
		want bool
	}{
		{"readings 0.4 s apart are one line", 400 * time.Millisecond, true},
		{"0.6 s without a reading is a gap", 600 * time.Millisecond, false},
	}
	for _, tt := range tests {
		empty := watch.Column{Min: float32(math.Inf(1)), Max: float32(math.Inf(-1))}
		tr := &watch.Trace{Bin: 10 * time.Millisecond}
		for i := range 300 {
			c := empty
			if d := time.Duration(i) * tr.Bin; d <= time.Second || d >= time.Second+tt.gap {
				c = watch.Column{Min: 500, Max: 500}
			}
			tr.Columns = append(tr.Columns, c)
		}
		frame := draw(100, 10, Input{Trace: tr, To: 3 * time.Second, Top: 1000})
		row := strings.Split(frame, "\n")[dotRows(frame)[0]]
		line := strings.TrimRightFunc(row[strings.IndexFunc(row, braille):], func(r rune) bool { return !braille(r) })
		if joined := !strings.Contains(line, " "); joined != tt.want {
			t.Errorf("%s: joined = %v in %q", tt.name, joined, line)
		}
	}
}

func TestTicks(t *testing.T) {
	tests := []struct {
		name        string // source: by hand; 1 lbf = 4.4482216152605 N, exact
		bottom, top si.Force
		rows        int
		units       si.System
		want        string
	}{
		{"12,000 lbf in 12 rows", 0, 12000 * si.PoundForce, 12, si.US, "0 5,000 10,000 lbf"},
		{"50 kN in 12 rows", 0, 50e3, 12, si.Metric, "0 20 40 kN"},
		{"below zero", -5e3, 20e3, 9, si.Metric, "0 10 20 kN"},
		{"a small range", 0, 300, 9, si.Metric, "0.0 0.1 0.2 0.3 kN"},
	}
	for _, tt := range tests {
		s := forceTicks(tt.bottom, tt.top, tt.rows, tt.units)
		var got []string
		for _, k := range s.list {
			got = append(got, k.text)
		}
		if g := strings.Join(append(got, s.unit), " "); g != tt.want {
			t.Errorf("%s: ticks %q, want %q", tt.name, g, tt.want)
		}
	}
	for s, want := range map[int]string{0: "0 s", 45: "45 s", 119: "119 s", 120: "2 min", 150: "2:30", 3600: "60 min", 125: "2:05"} {
		if got := timeText(s); got != want {
			t.Errorf("timeText(%d) = %q, want %q", s, got, want)
		}
	}
}

func TestDrawMarks(t *testing.T) {
	frame := draw(100, 20, Input{
		Trace: ramp(2000, 40e3, -1), To: 4 * time.Second, Top: 60e3, Units: si.Metric,
		Levels:  []Level{{At: 48e3, Name: "stop link bar", Ink: Stop}},
		HasHand: true, Hand: 40e3, HandT: 2 * time.Second, HasBreak: true, Break: 2 * time.Second,
	})
	for _, want := range []string{" stop link bar ", "◀", "break", "'2 s", "40▏", "kN"} {
		if !strings.Contains(frame, want) {
			t.Errorf("%q is not in\n%s", want, frame)
		}
	}
}

// A trace of the window alone, with a column on either side, draws what the whole
// trace does.
func TestDrawOfAPartIsThatOfTheWhole(t *testing.T) {
	whole := ramp(4000, 5e4, 2500)
	from, to := 2*time.Second, 3*time.Second
	part := &watch.Trace{From: 1999 * time.Millisecond, Bin: whole.Bin, Columns: whole.Columns[1999:3002]}
	want := draw(100, 20, Input{Trace: whole, From: from, To: to, Top: 6e4})
	if got := draw(100, 20, Input{Trace: part, From: from, To: to, Top: 6e4}); got != want {
		t.Errorf("the part:\n%s\nthe whole:\n%s", got, want)
	}
	if len(dotRows(want)) < 5 {
		t.Errorf("the test shows nothing:\n%s", want)
	}
}
