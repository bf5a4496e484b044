package sim

import (
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"draghand/internal/rig"
)

// board is the microcontroller: its clock and the layout of its lines.
type board struct {
	columns   []column
	separator byte
	checksum  bool
	clock     clock
}

type column uint8

const (
	ignored column = iota
	timeColumn
	rawColumn
)

// clock is the board's own. It starts where the board happened to be, runs a
// little fast or slow, and wraps at its width.
type clock struct {
	perSecond float64 // ticks
	seconds   bool    // the unit is seconds: ticks are µs, written with six decimals
	wrap      uint64  // ticks; 0 never
	start     float64 // ticks at epoch
	epoch     time.Duration
	rate      float64 // of the board's crystal over true time
	jitter    float64 // ticks at most, later than the reading
	rng       *rand.Rand
}

func newBoard(r *rig.Rig, rng *rand.Rand, rate, clockSpeed float64) board {
	b := board{separator: ',', checksum: r.Source.Checksum == "xor"}
	switch sep := r.Source.Separator; {
	case sep == "space":
		b.separator = ' '
	case sep == "tab":
		b.separator = '\t'
	case len(sep) == 1:
		b.separator = sep[0]
	}
	for _, name := range r.Source.Columns {
		switch name {
		case "time":
			b.columns = append(b.columns, timeColumn)
		case "raw":
			b.columns = append(b.columns, rawColumn)
		default:
			b.columns = append(b.columns, ignored)
		}
	}
	if len(b.columns) == 0 {
		b.columns = []column{timeColumn, rawColumn}
	}
	c := clock{perSecond: 1e6, rng: rng}
	if r.Source.Clock == "ms" {
		c.perSecond = 1e3
	}
	if bits := r.Source.ClockBits; bits > 0 && bits < 64 {
		c.wrap = 1 << bits
	}
	if r.Source.Clock == "s" {
		c.seconds = true
		c.wrap *= 1e6
	}
	c.rate = (1 + 40e-6*(2*rng.Float64()-1)) / clockSpeed // a common crystal's ± 40 ppm
	c.start = (0.2 + 600*rng.Float64()) * c.perSecond
	// The stamp comes a few µs late, never so late that two swap places.
	c.jitter = min(12e-6, 0.25/rate/clockSpeed) * c.perSecond
	b.clock = c
	return b
}

// stamp is the board's clock at a true time, wrapped.
func (b *board) stamp(t time.Duration) uint64 {
	c := &b.clock
	ticks := uint64(c.start + (t-c.epoch).Seconds()*c.rate*c.perSecond + c.jitter*c.rng.Float64())
	if c.wrap > 0 {
		ticks %= c.wrap
	}
	return ticks
}

// restart starts the clock anew at a true time.
func (b *board) restart(t time.Duration) {
	b.clock.epoch = t
	b.clock.start = 0.3 * b.clock.perSecond // the board's first line comes 0.3 s after its start
}

func (b *board) appendLine(dst []byte, ticks uint64, raw float64, decimals int) []byte {
	if b.checksum {
		dst = append(dst, '$')
	}
	first := len(dst)
	for i, c := range b.columns {
		if i > 0 {
			dst = append(dst, b.separator)
		}
		switch c {
		case timeColumn:
			dst = b.clock.append(dst, ticks)
		case rawColumn:
			if decimals == 0 && math.Abs(raw) < 1e15 {
				dst = strconv.AppendInt(dst, int64(raw), 10)
			} else {
				dst = strconv.AppendFloat(dst, raw, 'f', decimals, 64)
			}
		default:
			dst = append(dst, '0')
		}
	}
	if b.checksum {
		var sum byte
		for _, c := range dst[first:] {
			sum ^= c
		}
		const hex = "0123456789ABCDEF"
		dst = append(dst, '*', hex[sum>>4], hex[sum&15])
	}
	return append(dst, '\n')
}

func (c *clock) append(dst []byte, ticks uint64) []byte {
	if !c.seconds {
		return strconv.AppendUint(dst, ticks, 10)
	}
	dst = strconv.AppendUint(dst, ticks/1e6, 10)
	dst = append(dst, '.')
	frac := ticks % 1e6
	for div := uint64(1e5); div > 0; div /= 10 {
		dst = append(dst, byte('0'+frac/div%10))
	}
	return dst
}
