package pull

import (
	"slices"
)

// openClass says what may be said of a trace, from what the independent script
// found in it. The classes and their reasons are one choice, made before the
// thresholds were fitted, but for the straight fall, which was drawn from shapes
// of the tuning group while they were.
type openClass struct {
	name  string
	want  Phase   // the right outcome; "" where the record does not tell
	allow []Phase // what may honestly be said as well
	why   string
}

func (c openClass) fits(p Phase) bool { return p == c.want || slices.Contains(c.allow, p) }

const (
	// snapSeen is the longest fall of the traces that is seen in many readings,
	// s: steel and bronze take 17 to 18 ms.
	snapSeen = 0.05
	// rowSnap of the peak, gone from one row to the next, is a snap whatever the
	// rows are apart: the hot bars that fade lose at most 21 % in a row.
	rowSnap = 0.25
	// endedHigh of the peak at the end of a record is no end of a test (design:
	// a third of the open traces stop so).
	endedHigh = 0.5
	// roundTop parts falls that begin round, as a bar does that necks, from those
	// with a knee: the load cycles, let off under control, have 1.0.
	roundTop = 1.5
)

// openClassOf is the rule from the expected files to the outcomes.
func openClassOf(o *openTrace, kind Kind) openClass {
	if o.more {
		return classOfMore(o, kind)
	}
	steepest, _ := o.steepestRow()
	last := o.num("last_over_peak")
	switch o.columns["break_kind"] {
	case "abrupt":
		switch {
		case o.num("drop_s") <= snapSeen:
			return openClass{
				"snap", Broken, nil,
				"a fifth of the peak and more is gone within 50 ms, seen in several rows",
			}
		case steepest >= rowSnap:
			return openClass{
				"snap in a row", Broken,
				[]Phase{Unclear},
				"a quarter of the peak and more is gone from one row to the next; the rows are so far apart, or so few follow, that unclear is honest too",
			}
		case last > endedHigh:
			return openClass{
				"steep end, high", "",
				[]Phase{Broken, Ended, Unclear},
				"it falls steeply for its last rows and stops over half of the peak: a break has begun or not",
			}
		default:
			return openClass{
				"steep end", "",
				[]Phase{Broken, Faded, Unclear},
				"the fall grows steeper up to the last row, without a row that is a snap: a break or a fading, both may be said",
			}
		}
	case "gradual":
		if o.knee() < roundTop {
			return openClass{
				"straight fall", Faded,
				[]Phase{LetOff, Unclear},
				"it runs down to under half of the peak at one rate from the very top on; the source calls it a decay, but load let off under control looks the same to the row",
			}
		}
		return openClass{
			"fade", Faded,
			[]Phase{Unclear},
			"it runs down to under half of the peak without any steep fall; a slow let-off looks nearly the same, so unclear is honest",
		}
	}
	return openClass{"cut", Ended, nil, "the record stops over half of the peak: the end of a file is no break"}
}

func classOfMore(o *openTrace, kind Kind) openClass {
	switch o.columns["drop_kind"] {
	case "complete":
		if kind == Crush {
			return openClass{"crushed", LetOff, nil, "stone gives way; a crush knows no break, its end is a let-off"}
		}
		return openClass{
			"crushed", Broken,
			[]Phase{Unclear},
			"stone gives way within 1 to 5 rows of 0.125 or 0.2 s, 180 to 540 times faster than it was loaded; by the time alone it may be a quick let-off, so unclear is honest",
		}
	case "slide":
		if kind == Crush {
			return openClass{"unloaded", LetOff, nil, "loaded and unloaded under control, down to nothing"}
		}
		return openClass{
			"unloaded", LetOff,
			[]Phase{Unclear},
			"unloaded under control over 15 to 50 s; as slow as that, a fading looks nearly the same, so unclear is honest",
		}
	case "cut":
		return openClass{
			"cut in a fall", Ended,
			[]Phase{Unclear},
			"the record stops over half of the peak in the middle of a slow fall",
		}
	}
	return openClass{"cut", Ended, nil, "the record stops without any fall"}
}

// steepestRow is the largest fall from one row to the next, at or after the
// peak, as a share of the peak, and the row that it ends in.
func (o *openTrace) steepestRow() (share float64, row int) {
	peak := slices.Max(o.force)
	row = slices.Index(o.force, peak)
	most := 0.0
	for i := row + 1; i < len(o.force); i++ {
		if d := o.force[i-1] - o.force[i]; d > most {
			most, row = d, i
		}
	}
	return most / peak, row
}

// knee is how many times faster the force falls from 70 to 50 % of its peak than
// from 98 to 90 %, each from where it was last as high.
func (o *openTrace) knee() float64 {
	peak := slices.Max(o.force)
	under := func(share float64) float64 {
		for i := len(o.force) - 1; ; i-- {
			if v := share * peak; o.force[i] >= v {
				if i == len(o.force)-1 {
					return o.at[i].Seconds()
				}
				f := (o.force[i] - v) / (o.force[i] - o.force[i+1])
				return o.at[i].Seconds() + f*(o.at[i+1]-o.at[i]).Seconds()
			}
		}
	}
	return (0.70 - 0.50) / (under(0.50) - under(0.70)) * (under(0.90) - under(0.98)) / (0.98 - 0.90)
}

// expectedBreak is the first row of the fall that the independent script took
// for the break, −1 without one, and between which rows a break may be told: a
// few from there by COLUMNS.md, one or two by COLUMNS-more.md. Where rows are
// most of a second apart that script begins the fall with the descent before it
// (it goes back while a row loses 1 % of the peak), so the steepest row is as
// good.
func (o *openTrace) expectedBreak() (row, from, to int) {
	v := o.either("last_before", "drop_start_index")
	if v != v {
		return -1, -1, -1
	}
	row = int(v) + 1
	if o.more {
		return row, row - 2, row + 2
	}
	from, to = row-3, row+3
	if o.num("drop_s") > snapSeen {
		_, steepest := o.steepestRow()
		to = max(to, steepest)
	}
	return row, from, to
}
