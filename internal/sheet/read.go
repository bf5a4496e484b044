package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Read reads a table. The error is an *Error.
func Read(data []byte, o Options) (*Table, error) {
	if math.IsNaN(o.Rate) || math.IsInf(o.Rate, 0) || o.Rate < 0 || o.Rate > 1e9 {
		return nil, doubt("give rows a second, such as 50", "the rate %g cannot be used", o.Rate)
	}
	if o.FlipSign && o.KeepSign {
		return nil, doubt("choose one", "the sign cannot be both turned and kept")
	}
	text, encoding, err := decode(data)
	if err != nil {
		return nil, err
	}
	all, end := lines(text)
	if o.SkipLines < 0 || o.SkipLines > 0 && o.SkipLines >= len(all) {
		return nil, doubt("give fewer", "%d lines cannot be skipped: the file has %d", o.SkipLines, len(all))
	}
	var sep byte
	if o.Separator == "" {
		sep, err = findSeparator(text, all, o.SkipLines)
		if err != nil {
			return nil, err
		}
	} else if s, ok := separatorOf(o.Separator); ok {
		sep = s
	} else {
		return nil, doubt("write , or ; or tab, space, none", "the separator %q is not known", o.Separator)
	}
	l, err := findTable(text, all, o.SkipLines, sep)
	if err != nil {
		return nil, err
	}
	if err := l.plausible(); err != nil {
		return nil, err
	}
	t := &Table{Encoding: encoding, LineEnd: end, Separator: separatorName(sep), Lines: len(all), Flipped: o.FlipSign}
	for _, i := range []int{l.names, l.units} {
		if i >= 0 {
			t.Header = append(t.Header, i+1)
		}
	}
	slices.Sort(t.Header)
	t.Columns = l.columns()
	if err := assign(t, &l, o); err != nil {
		return nil, err
	}
	for i := range t.Columns {
		if i != t.TimeColumn && i != t.LoadColumn && !(o.Rate > 0 && t.Columns[i].Role == Time) {
			t.Channels = append(t.Channels, i)
		}
	}
	r := reader{t: t, l: &l, o: o, text: text, lines: all}
	if err := r.decimal(); err != nil {
		return nil, err
	}
	if err := r.timeUnit(); err != nil {
		return nil, err
	}
	if err := r.read(); err != nil {
		return nil, err
	}
	return t, nil
}

// plausible compares the header's width with that of the rows.
func (l *layout) plausible() error {
	if n := len(l.headerCells); l.names >= 0 && n > 0 && l.width > n {
		if l.sep == ',' && l.width >= 2*n-1 {
			return bad("save it with semicolons or with decimal points", "the header has %d columns and the rows have %d: decimal commas cannot be told from the commas between the columns", n, l.width)
		}
		return bad("see whether the header is whole, or leave its lines out with --skip-lines and name the columns by number", "the header has %d columns and the rows have %d", n, l.width)
	}
	return nil
}

type reader struct {
	t     *Table
	l     *layout
	o     Options
	text  string
	lines []span
	comma bool
	cells []string

	unit   time.Duration // of the time column
	day    time.Duration // added to times of day after midnights
	first  time.Duration // time of the first row
	newest time.Duration // T of the newest row
	latest time.Duration // Time of the newest row that went on
	before int           // bad rows since the last row
	late   int           // bad rows whose time is beyond 290 years
	halves int           // bad rows whose time ends in AM or PM
	arena  []string
}

func (r *reader) line(i int) string { return r.text[r.lines[i].from:r.lines[i].to] }

func (r *reader) read() error {
	t, l := r.t, r.l
	n := 0
	for _, s := range l.shapes {
		if s == dataLine {
			n++
		}
	}
	t.Rows = make([]Row, 0, n) // growing costs more than reading
	for i := range r.lines {
		switch {
		case i == l.names || i == l.units:
		case l.shapes[i] == blankLine && i >= r.o.SkipLines:
			t.Skipped.add(i+1, "", "blank")
		case i < l.first:
			t.Skipped.add(i+1, r.line(i), "before the table")
		case i > l.last && !r.lost(i):
			why := "after the table"
			if l.second >= 0 && i >= l.second {
				why = "another table"
			}
			t.Skipped.add(i+1, r.line(i), why)
		default:
			if why := r.row(i); why != "" {
				t.BadRows.add(i+1, r.line(i), why)
				r.before++
			}
		}
	}
	t.BadAtEnd = r.before
	if err := r.most(); err != nil {
		return err
	}
	if l.second >= 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("another table begins at line %d: it is left out", l.second+1))
	}
	if err := r.sound(); err != nil {
		return err
	}
	if err := r.sign(); err != nil {
		return err
	}
	r.rate()
	return nil
}

// row reads one line of the table; why says what is wrong with it.
func (r *reader) row(i int) (why string) {
	t := r.t
	cells, ok := split(r.cells[:0], r.line(i), r.l.sep)
	r.cells = cells
	switch {
	case !ok:
		return unsplit(r.line(i), cells)
	case r.l.shapes[i] == nameLine:
		return "text where numbers are expected"
	}
	for k := len(t.Columns); k < len(cells); k++ {
		if cells[k] != "" {
			return fmt.Sprintf("%d cells where the table has %d", len(cells), len(t.Columns))
		}
	}
	row := Row{Line: i + 1}
	if t.LoadColumn >= len(cells) || cells[t.LoadColumn] == "" {
		return "the load is empty"
	}
	if why := r.load(&row, cells[t.LoadColumn]); why != "" {
		return why
	}
	if t.TimeColumn >= 0 {
		if t.TimeColumn >= len(cells) || cells[t.TimeColumn] == "" {
			return "the time is empty"
		}
		if why := r.time(&row, cells[t.TimeColumn]); why != "" {
			return why
		}
	} else {
		row.Time = time.Duration(min(math.Round(float64(len(t.Rows))*1e9/r.o.Rate), 1<<62))
	}
	if n := len(t.Channels); n > 0 {
		if len(r.arena)+n > cap(r.arena) {
			r.arena = make([]string, 0, max(n, 4096))
		}
		from := len(r.arena)
		for _, c := range t.Channels {
			text := ""
			if c < len(cells) {
				text, _ = r.clean(cells[c])
			}
			r.arena = append(r.arena, text)
		}
		row.Channels = r.arena[from:len(r.arena):len(r.arena)]
	}
	r.step(&row)
	row.Bad, r.before = r.before, 0
	t.Rows = append(t.Rows, row)
	return ""
}

// step keeps the time from going back, as the engine does.
func (r *reader) step(row *Row) {
	t := r.t
	if len(t.Rows) == 0 {
		r.first, r.latest = row.Time, row.Time
		return
	}
	switch {
	case row.Time < r.latest:
		t.Backward++
		row.T = r.newest
		return
	case row.Time == r.latest:
		t.Repeated++
	}
	r.latest = row.Time
	if row.T = row.Time - r.first; row.T < 0 { // from far before zero to far after it
		row.T = math.MaxInt64
	}
	if d := row.T - r.newest; d > t.LongestStep {
		t.LongestStep, t.LongestStepRow = d, len(t.Rows)-1
	}
	r.newest = row.T
}

func (r *reader) load(row *Row, cell string) (why string) {
	text, ok := r.clean(cell)
	if !ok {
		if noValue(plainMinus(cell)) {
			row.Load, row.LoadText = math.NaN(), "nan"
			return ""
		}
		return fmt.Sprintf("the load %q is no number", cutText(cell))
	}
	if r.o.FlipSign {
		text = flip(text)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return fmt.Sprintf("the load %q is too large a number", cutText(cell))
	}
	row.Load, row.LoadText = v, text
	return ""
}

// flip turns the sign of a number in its text.
func flip(s string) string {
	switch {
	case s[0] == '-':
		return s[1:]
	case s[0] == '+':
		s = s[1:]
	}
	if mant, _, _ := strings.Cut(strings.ToLower(s), "e"); strings.Trim(mant, "0.") == "" {
		return s // no negative zero
	}
	return "-" + s
}

// timeUnit finds the unit of the times. Times of day need none.
func (r *reader) timeUnit() error {
	t := r.t
	if t.TimeColumn < 0 {
		return nil
	}
	c := t.Columns[t.TimeColumn]
	if u, ok := timeUnits[c.Unit]; ok {
		r.unit = u
		return nil
	}
	for i := r.l.first; i <= r.l.last; i++ {
		if r.l.shapes[i] != dataLine {
			continue
		}
		cells, ok := split(r.cells[:0], r.line(i), r.l.sep)
		r.cells = cells
		if !ok || t.TimeColumn >= len(cells) {
			continue
		}
		switch classify(cells[t.TimeColumn]) {
		case isMoment:
			return nil
		case isNumber:
			if c.Unit != "" {
				return doubt("write --unit time=s if that is meant", "%q of the column %q is no unit of time", c.Unit, c.Title())
			}
			return doubt("write --unit time=s, or whatever it is in", "the column %q gives no unit", c.Title())
		}
	}
	return nil
}

func (r *reader) time(row *Row, cell string) (why string) {
	t := r.t
	text, ok := r.clean(cell)
	if ok {
		if t.Clock || r.unit == 0 {
			return "a number where the other times are times of day"
		}
		at, ok := elapsed(text, r.unit)
		if !ok {
			r.late++
			return fmt.Sprintf("the time %q is too large", cutText(cell))
		}
		row.Time, row.TimeText = at, text
		return ""
	}
	if noValue(cell) {
		return "the time is empty"
	}
	if classify(cell) != isMoment {
		return fmt.Sprintf("the time %q is no number", cutText(cell))
	}
	if !t.Clock && len(t.Rows) > 0 {
		return "a time of day where the other times are numbers"
	}
	at, dated, why := moment(cell)
	if why != "" {
		if why == halfDays {
			r.halves++
		}
		return why
	}
	if !dated {
		// A step back by more than twelve hours is a midnight.
		if len(t.Rows) > 0 && at+r.day+12*time.Hour < t.Rows[len(t.Rows)-1].Time {
			r.day += 24 * time.Hour
		}
		at += r.day
	}
	t.Clock = true
	row.Time, row.TimeText = at, cell
	return ""
}

// sign refuses a load that is mostly negative unless told what to do: its
// largest value, which the drag hand would keep, is then not the peak.
func (r *reader) sign() error {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range r.t.Rows {
		if v := r.t.Rows[i].Load; v == v {
			low, high = min(low, v), max(high, v)
		}
	}
	if low > high {
		return bad("look at the file, or name another column with --column force=NAME", "the column %q has no number in it", r.t.Load().Title())
	}
	r.t.Low, r.t.High = low, high
	if -low <= high || r.o.KeepSign {
		return nil
	}
	name := r.t.Load().Title()
	if r.o.FlipSign {
		return doubt("leave --flip-sign out", "turned, %q is mostly negative (%g to %g): it was positive as it stands in the file", name, low, high)
	}
	return doubt("write --flip-sign to count compression as positive, or --keep-sign to take it as it stands", "%q is mostly negative (%g to %g): its highest value would not be the peak", name, low, high)
}

// holeSteps is how many median steps make a hole.
const holeSteps = 10

// rate is the median of the steps in time, the rows at a time of the row before
// left out.
func (r *reader) rate() {
	t := r.t
	if t.TimeColumn < 0 {
		t.Rate = r.o.Rate
		return
	}
	steps := make([]time.Duration, 0, len(t.Rows))
	for i := 1; i < len(t.Rows); i++ {
		if d := t.Rows[i].T - t.Rows[i-1].T; d > 0 {
			steps = append(steps, d)
		}
	}
	if len(steps) == 0 {
		return
	}
	slices.Sort(steps)
	median := steps[len(steps)/2]
	t.Rate = 1e9 / float64(median)
	long, _ := slices.BinarySearch(steps, holeSteps*median+1)
	t.Holes = len(steps) - long
}
