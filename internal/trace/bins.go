package trace

import (
	"math"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// firstWidth is the width of a column while there are few. Like that of an overview
// it is a power of two in µs, so that columns of either come out the same.
const firstWidth = 1 << 10 * time.Microsecond

// regular says that a width is one that columns may have.
func regular(w time.Duration) bool {
	n := int64(w / firstWidth)
	return n > 0 && w%firstWidth == 0 && n&(n-1) == 0
}

// bin is what the gauge pressure lay between, the zero not yet taken off. It is
// empty where low > high.
type bin struct {
	low, high si.Pressure
	gap       bool
}

func (b *bin) merge(o bin) {
	b.low, b.high, b.gap = min(b.low, o.low), max(b.high, o.high), b.gap || o.gap
}

var noBin = bin{low: si.Pressure(math.Inf(1)), high: si.Pressure(math.Inf(-1))}

// bins are the pressure over time in at most n bins of equal width from 0 on.
type bins struct {
	n    int
	each time.Duration
	all  []bin
}

func newBins(n int) *bins { return &bins{n: n, each: firstWidth} }

func (b *bins) width() time.Duration { return b.each }

// add takes one pressure. gap says that nothing was seen since the one before.
func (b *bins) add(at time.Duration, p si.Pressure, gap bool) {
	if at < 0 || p-p != 0 { // NaN and infinities
		return
	}
	for at/b.each >= time.Duration(b.n) {
		b.halve()
	}
	i := int(at / b.each)
	for len(b.all) <= i {
		b.all = append(b.all, noBin)
	}
	b.all[i].merge(bin{p, p, gap})
}

// widen makes the bins at least w wide, a width of the same kind.
func (b *bins) widen(w time.Duration) {
	for b.each < w {
		b.halve()
	}
}

// halve merges the bins in pairs.
func (b *bins) halve() {
	for i := 0; i < len(b.all); i += 2 {
		one := b.all[i]
		if i+1 < len(b.all) {
			one.merge(b.all[i+1])
		}
		b.all[i/2] = one
	}
	b.all = b.all[:(len(b.all)+1)/2]
	b.each *= 2
}

// columns are the bins that are not empty, as forces on the specimen.
func (b *bins) columns(chain rig.Chain, zero si.Pressure) []Column {
	n := 0
	for i := range b.all {
		if b.all[i].low <= b.all[i].high {
			n++
		}
	}
	out := make([]Column, 0, n)
	for i := range b.all {
		if one := b.all[i]; one.low <= one.high {
			// A force never falls while the pressure rises.
			low, high := chain.Specimen(one.low-zero), chain.Specimen(one.high-zero)
			if low-low == 0 && high-high == 0 {
				out = append(out, Column{At: time.Duration(i) * b.each, Low: low, High: high, Gap: one.gap})
			}
		}
	}
	return out
}
