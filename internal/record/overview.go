package record

import (
	"math"
	"math/bits"
	"time"

	"draghand/internal/rig"
)

// OverviewFile lies beside samples.csv once a record is closed: the whole of it
// in at most overviewBins pieces, so that a first picture needs no pass over the
// readings. It is made of the samples, can be made again and is never the truth.
const OverviewFile = "overview.csv"

// overviewBins is the most bins an overview has: more than the columns of dots
// of any terminal, even when they have just been merged in pairs.
const overviewBins = 4096

// firstBin is the width of a bin while the pull is short, in µs. A power of two,
// so that no reading is divided by it.
const firstBin = 1 << 10

// Span is what the raw numbers of the valid readings of one bin lie between. It
// is empty where Min > Max.
type Span struct{ Min, Max float64 }

// Empty says that there was no valid reading.
func (s Span) Empty() bool { return s.Min > s.Max }

var noSpan = Span{math.Inf(1), math.Inf(-1)}

// Overview is the readings of a record in bins of equal width from time 0 on. In
// raw numbers it holds whatever the zero turned out to be. Faulty readings, by the
// rig in the record, are left out: they are no force, and one of them would hide
// all that is beside it.
type Overview struct {
	Bin   time.Duration
	Spans []Span
}

// overview is an Overview that is being made, a reading at a time.
type overview struct {
	chain rig.Chain
	shift uint // the bin is 1<<shift µs
	spans []Span
	lost  bool // readings are missing in the file, or in here
}

func newOverview(r *rig.Rig) *overview {
	return &overview{chain: r.Chain(), shift: uint(bits.TrailingZeros(firstBin))}
}

// add takes a reading of a time in µs that is not below 0.
func (o *overview) add(us int64, raw float64) {
	if _, sig := o.chain.Pressure(raw); sig != rig.OK {
		return
	}
	i := us >> o.shift
	for i >= overviewBins {
		o.halve()
		i = us >> o.shift
	}
	for int64(len(o.spans)) <= i {
		o.spans = append(o.spans, noSpan)
	}
	s := &o.spans[i]
	if raw < s.Min {
		s.Min = raw
	}
	if raw > s.Max {
		s.Max = raw
	}
}

// halve merges the bins in pairs.
func (o *overview) halve() {
	for i := 0; i < len(o.spans); i += 2 {
		s := o.spans[i]
		if i+1 < len(o.spans) {
			s.Min, s.Max = min(s.Min, o.spans[i+1].Min), max(s.Max, o.spans[i+1].Max)
		}
		o.spans[i/2] = s
	}
	o.spans = o.spans[:(len(o.spans)+1)/2]
	o.shift++
}

// done is the overview as far as it was made.
func (o *overview) done() Overview {
	return Overview{Bin: time.Duration(1<<o.shift) * time.Microsecond, Spans: o.spans}
}
