package chart

import (
	"math"
	"strconv"
	"time"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/si"
)

// tick is one mark of the force scale.
type tick struct {
	at   si.Force
	text string
}

// scale is the force scale in the unit of display.
type scale struct {
	list []tick
	unit string
}

// forceTicks finds the marks of the force scale: 1, 2 or 5 times a power of ten
// of the display unit, at least three rows apart.
func forceTicks(bottom, top si.Force, rows int, u si.System) scale {
	shown := top.In(u)
	per := float64(top) / shown.Value // newtons a unit
	if shown.Value == 0 || !finite(per) || per <= 0 {
		one := si.Force(1).In(u)
		per = 1 / one.Value
	}
	return ticksOf(float64(bottom), float64(top), rows, per, shown.Unit)
}

// ticksOf is forceTicks of any quantity, in SI, that has per of it in one unit of
// display.
func ticksOf(bottom, top float64, rows int, per float64, unit string) scale {
	out := scale{unit: unit}
	n := max(2, rows/3)
	step := niceStep((top - bottom) / per / float64(n))
	decimals := max(0, int(-math.Floor(math.Log10(step)+1e-9)))
	// A mark on the very end of the range must not fall to rounding.
	first, last := math.Ceil(bottom/per/step-1e-9), math.Floor(top/per/step+1e-9)
	// n steps of at least range/n: never more than n+1 marks, bounded all the same.
	for k, i := first, 0; k <= last && i <= 2*n; k, i = k+1, i+1 {
		out.list = append(out.list, tick{si.Force(k * step * per), ascii(si.Number(k*step, decimals))})
	}
	return out
}

// niceStep is the least of 1, 2 and 5 times a power of ten not below v.
func niceStep(v float64) float64 {
	if !(v > 0) || !finite(v) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= v*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}

// timeSteps are the distances of time marks, in seconds.
var timeSteps = []int{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400}

// timeStep is the least of them not below want seconds, or a whole number of
// the longest.
func timeStep(want float64) int {
	for _, s := range timeSteps {
		if float64(s) >= want {
			return s
		}
	}
	longest := timeSteps[len(timeSteps)-1]
	return longest * int(math.Ceil(want/float64(longest)))
}

// axes draws the scales and, where they cross, faint points.
func (c *Chart) axes(f *frame, ticks scale) {
	for y := range f.h {
		c.set(f.x0-1, y, '▏', Axis)
	}
	// The marks a cell of time labels can hold without touching: 9 columns.
	perCol := (f.in.To - f.in.From).Seconds() / float64(f.w)
	step := timeStep(9 * perCol)
	for k := int(math.Ceil(f.in.From.Seconds() / float64(step))); ; k++ {
		dx, ok := f.dotX(time.Duration(k*step) * time.Second)
		if !ok {
			break
		}
		x := f.x0 + dx/2
		if text := "'" + timeText(k*step); !f.whole || x+len(text) <= c.w {
			c.text(x, f.h, text, Axis)
		}
		for _, tk := range ticks.list {
			if f.bare {
				break
			}
			if y, ok := f.row(tk.at); ok && c.free(x, y) {
				c.set(x, y, '·', Axis)
			}
		}
	}
	for _, tk := range ticks.list {
		if y, ok := f.row(tk.at); ok {
			c.text(f.x0-1-len(tk.text), y, tk.text, Axis)
		}
	}
	c.text(f.x0-1-len(ticks.unit), f.h, ticks.unit, Axis)
}

// timeText writes a time since the record's start: seconds up to two minutes,
// minutes from there, and minutes:seconds between whole minutes.
func timeText(s int) string {
	switch {
	case s < 120:
		return strconv.Itoa(s) + " s"
	case s%60 == 0:
		return strconv.Itoa(s/60) + " min"
	}
	sec := strconv.Itoa(s % 60)
	if len(sec) < 2 {
		sec = "0" + sec
	}
	return strconv.Itoa(s/60) + ":" + sec
}

// only says that n cells from x on all carry the one ink.
func (c *Chart) only(x, y, n int, ink Ink) bool {
	for i := x; i < x+n; i++ {
		if i < 0 || i >= c.w || c.inks[y*c.w+i] != ink {
			return false
		}
	}
	return true
}

// hand draws the drag hand: a pointer at the right edge that stays, and a trail
// of points back to where the peak was, both below the lines it has not reached.
func (c *Chart) hand(f *frame) {
	if !f.in.HasHand {
		return
	}
	y, ok := f.row(f.in.Hand)
	if !ok {
		return
	}
	// A pointer is a whole cell: beside a line that the hand has not reached it
	// would say that it has.
	for i := range f.in.Levels {
		if l, ok := f.row(f.in.Levels[i].At); ok && f.in.Hand < f.in.Levels[i].At && y <= l {
			y = min(l+1, f.h-1)
		}
	}
	from := 0
	if dx, in := f.dotX(f.in.HandT); in {
		from = dx / 2
	}
	for x := from + 2; x < f.w; x += 2 {
		if c.free(f.x0+x, y) {
			c.set(f.x0+x, y, '·', Hand)
		}
	}
	c.set(f.x0+f.w, y, '◀', Hand)
}

// breakMark draws the moment of the break as an upright line beside the trace.
func (c *Chart) breakMark(f *frame) {
	dx, ok := f.dotX(f.in.Break)
	if !f.in.HasBreak || !ok {
		return
	}
	x := f.x0 + dx/2
	for y := range f.h {
		if c.free(x, y) {
			c.set(x, y, '╎', Break)
		}
	}
	const word = "break"
	for y := f.h - 2; y >= 0; y-- {
		for _, from := range []int{x + 2, x - 1 - len(word)} {
			if from >= f.x0 && from+len(word) <= f.x0+f.w && c.only(from, y, len(word), Blank) {
				c.text(from, y, word, Break)
				return
			}
		}
	}
}

// band draws the expected break along the right edge, as far as it is in the
// range; where it is thinner than a row it still has one.
func (c *Chart) band(f *frame) {
	if !(f.in.High > 0) || f.in.Low > f.in.Top || f.in.High < f.in.Bottom {
		return
	}
	from, to := f.dotY(float64(f.in.High))/4, f.dotY(float64(f.in.Low))/4
	for y := from; y <= to; y++ {
		c.set(f.x0+f.w, y, '░', Hand)
	}
}

// title says in the upper left which time is shown: in the first row that has
// room, or else over the line of a level, never over the trace.
func (c *Chart) title(f *frame) {
	text := f.in.Title
	n := ansi.StringWidth(text)
	if n == 0 || n+2 > f.w {
		return
	}
	for _, over := range []Ink{Axis, Stop} {
		for y := range f.h {
			if c.upTo(f.x0, y, n+2, over) {
				c.text(f.x0, y, " "+text+" ", Axis)
				return
			}
		}
	}
}

// upTo says that n cells from x on carry nothing, or an ink that may be drawn
// over: the axis alone, or with Stop the lines of the levels as well.
func (c *Chart) upTo(x, y, n int, over Ink) bool {
	for i := x; i < x+n; i++ {
		switch ink := c.inks[y*c.w+i]; ink {
		case Blank, Axis:
		case Caution, Warning, Stop:
			if over != Stop {
				return false
			}
		default:
			return false
		}
	}
	return true
}

// text writes a text cell by cell; a character that is not one cell wide would
// shift the rest of the line and is replaced.
func (c *Chart) text(x, y int, s string, ink Ink) {
	for _, r := range s {
		if r >= 0x7f || r < ' ' {
			if ansi.StringWidth(string(r)) != 1 {
				r = '?'
			}
		}
		c.set(x, y, r, ink)
		x++
	}
}

// ascii replaces the dash si.Number writes for what is no number.
func ascii(s string) string {
	b := []byte(s)
	for _, c := range b {
		if c >= 0x80 {
			return "-"
		}
	}
	return s
}
