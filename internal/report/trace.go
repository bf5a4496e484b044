package report

import (
	"math"
	"math/bits"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
)

const (
	// traceBins is the most bins a trace has: 0.8 MB, whatever the length of the
	// record. A pull of 20 s in an hour of waiting still has some 300 of them.
	traceBins = 1 << 16
	// firstBin is the width of a bin while the record is short, in µs.
	firstBin = 1 << 10
)

// bin is what the force on the specimen, in N, lay between over one width of
// time. It is empty where low > high. blind says that the force was out of sight
// for some of it.
type bin struct {
	low, high float32
	blind     bool
}

func (b bin) empty() bool { return b.low > b.high }

func (b *bin) merge(o bin) {
	b.low, b.high, b.blind = min(b.low, o.low), max(b.high, o.high), b.blind || o.blind
}

var noBin = bin{low: float32(math.Inf(1)), high: float32(math.Inf(-1))}

// trace is the force of a whole record over time, in bins of equal width that
// keep every extreme. It is made a line at a time and never holds the readings.
type trace struct {
	shift   uint // a bin is 1<<shift µs
	bins    []bin
	seen    int           // readings in it
	end     time.Duration // of the newest line
	lastOK  int64         // µs of the newest valid reading
	faulted bool          // something came since that could not be seen
}

func newTrace() *trace { return &trace{shift: uint(bits.TrailingZeros(firstBin))} }

// width of a bin.
func (t *trace) width() time.Duration { return time.Duration(1<<t.shift) * time.Microsecond }

// add takes one line of a replay.
func (t *trace) add(l record.Line) {
	r := l.Reading
	if r.T < 0 {
		return
	}
	t.end = max(t.end, r.T)
	us := r.T.Microseconds()
	switch r.Mark {
	case pull.NoMark:
	case pull.Lost, pull.Silent, pull.Bad, pull.Reset:
		t.faulted = true
		return
	default:
		return
	}
	live := l.Engine.Live()
	f := float32(live.Specimen)
	if !live.Seen || f-f != 0 { // NaN and infinities
		t.faulted = true
		return
	}
	if t.faulted && t.seen > 0 {
		t.hide(t.lastOK, us)
	}
	t.faulted = false
	b := t.at(us)
	b.low, b.high = min(b.low, f), max(b.high, f)
	t.seen++
	t.lastOK = us
}

// finish hides what came after the last valid reading, where it was blind.
func (t *trace) finish() {
	if t.faulted && t.seen > 0 {
		t.hide(t.lastOK, t.end.Microseconds())
	}
}

// hide marks the bins of a span as blind.
func (t *trace) hide(from, to int64) {
	t.at(to)
	for i := from >> t.shift; i <= to>>t.shift; i++ {
		t.bins[i].blind = true
	}
}

// at is the bin of a time in µs, made if need be.
func (t *trace) at(us int64) *bin {
	for us>>t.shift >= traceBins {
		t.halve()
	}
	i := us >> t.shift
	for int64(len(t.bins)) <= i {
		t.bins = append(t.bins, noBin)
	}
	return &t.bins[i]
}

// halve merges the bins in pairs.
func (t *trace) halve() {
	for i := 0; i < len(t.bins); i += 2 {
		b := t.bins[i]
		if i+1 < len(t.bins) {
			b.merge(t.bins[i+1])
		}
		t.bins[i/2] = b
	}
	t.bins = t.bins[:(len(t.bins)+1)/2]
	t.shift++
}

// column is the bins of one column of a picture, and the time of the first of
// them that is not empty.
type column struct {
	bin
	at time.Duration
}

// columns are at most n columns of equal width over a span of time.
func (t *trace) columns(from, to time.Duration, n int) []column {
	if to <= from || n < 1 {
		return nil
	}
	out := make([]column, n)
	for i := range out {
		out[i].bin = noBin
	}
	first := max(0, int(from/t.width()))
	for i := first; i < len(t.bins); i++ {
		at := time.Duration(i)*t.width() + t.width()/2
		if at > to {
			break
		}
		k := min(n-1, max(0, int(float64(n)*float64(at-from)/float64(to-from))))
		if out[k].empty() && !t.bins[i].empty() {
			out[k].at = at
		}
		out[k].merge(t.bins[i])
	}
	return out
}

// extremes are the least and largest force of a span; ok is false where none was
// seen in it.
func (t *trace) extremes(from, to time.Duration) (low, high float64, ok bool) {
	b := noBin
	for _, c := range t.columns(from, to, 1) {
		b.merge(c.bin)
	}
	return float64(b.low), float64(b.high), !b.empty()
}
