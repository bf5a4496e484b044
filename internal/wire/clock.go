package wire

import (
	"math"
	"time"
)

// The bounds of the mapping.
const (
	// maxDrift is the largest error of a board's clock that is followed. A
	// serial link fails when the two ends differ by more than about 2 %
	// (common practice, no source), so a board that can be read is better.
	maxDrift = 0.02
	// slewRate is how fast the mapping is brought to a better estimate: 20 µs
	// in a millisecond, which no spacing of readings shows.
	slewRate = 0.02
	// slack is how far ahead of the host a board's clock may seem before it is
	// no longer believed: a backlog read at the start holds readings that are
	// older than they seem.
	slack = 2 * time.Second
	// strayBy, strayFor and strayCount: readings that are all later than the
	// envelope by more than strayBy, for so long and so many, mean that the
	// board's clock lost time. A pause of the reader looks the same at first,
	// but its backlog is read in a moment.
	strayBy    = 100 * time.Millisecond
	strayFor   = 2 * time.Second
	strayCount = 8
)

// Clock maps a board's clock to the host's time. The host sees each reading
// late, by a delay that varies from microseconds to seconds and is never
// negative; the board's clock spaces the readings rightly, but wraps, drifts
// and starts anew. So the time of a reading is the board's clock plus the lower
// envelope of (arrival − board) over the last half minute, which is the reading
// that had the least delay, carried on by the drift.
//
// The result is causal (it depends on earlier readings only), is never later
// than the arrival and never decreases. A Clock is not safe for use from
// several goroutines.
type Clock struct {
	wrap time.Duration

	started bool
	dev     time.Duration // last reading's clock as sent
	board   time.Duration // unwound, 0 at the first reading after a start
	arrival time.Duration // last reading's
	t       time.Duration // last result

	// offset is the envelope at board, in ns; slope its change per ns of the
	// board's clock; pending what is still to be added to offset.
	offset, slope, pending float64
	env                    envelope

	strays     int           // readings in a row beyond strayBy
	straySince time.Duration // arrival of the first of them
}

// NewClock is the clock of a board that counts ticks and wraps at 2^bits of
// them (0: never).
func NewClock(tick time.Duration, bits int) *Clock {
	c := &Clock{wrap: math.MaxInt64}
	if bits > 0 {
		c.wrap = wrapOf(tick, bits)
	}
	return c
}

// Map gives the time of the reading that arrived at arrival with the board's
// clock at dev (Line.Dev), on the time line of arrival. Arrivals must not
// decrease; one that does counts as the one before. It allocates nothing.
//
// A board's clock that went back, other than by its wrap, is ahead of what the
// host can explain, or has lost time for good, has restarted: the mapping begins
// anew, the reading's time is its arrival, and restarted is true.
func (c *Clock) Map(arrival, dev time.Duration) (t time.Duration, restarted bool) {
	if !c.started {
		c.begin(arrival, dev)
		return c.t, false
	}
	arrival = max(arrival, c.arrival)
	step, ok := c.step(arrival, dev)
	if !ok {
		c.begin(arrival, dev)
		return c.t, true
	}
	c.dev, c.arrival = dev, arrival
	c.board += step
	c.advance(step)

	excess := float64(arrival-c.board) - c.offset
	if c.stray(arrival, excess) {
		c.begin(arrival, dev)
		return c.t, true
	}
	if excess < 0 {
		c.offset += excess
		c.pending = 0
	}
	if c.env.add(c.board, arrival-c.board) {
		c.refit()
	}
	at := c.board + time.Duration(math.Floor(c.offset))
	c.t = max(c.t, min(at, arrival))
	return c.t, false
}

// Alone gives the time of a reading from the board's clock alone, 0 for the
// first one: for a file, whose arrival says nothing. A clock that went back,
// other than by its wrap, has restarted; how long that took is not known, and
// the reading is given the time of the one before. Use either Map or Alone.
func (c *Clock) Alone(dev time.Duration) (t time.Duration, restarted bool) {
	if !c.started {
		c.started, c.dev = true, dev
		return 0, false
	}
	step := c.forward(dev)
	c.dev = dev
	// Without arrivals, a step of more than half a turn is a step back.
	if step < 0 || c.wrap < math.MaxInt64 && step > c.wrap/2 {
		return c.t, true
	}
	c.t += step
	return c.t, false
}

// Drift is by how much the board's clock is fast against the host's, in parts
// per million; negative when slow; 0 until some seconds were seen.
func (c *Clock) Drift() float64 { return -c.slope / (1 + c.slope) * 1e6 }

// begin starts the mapping anew. The drift is the same crystal's and stays.
func (c *Clock) begin(arrival, dev time.Duration) {
	c.started = true
	c.dev, c.board = dev, 0
	c.arrival = max(arrival, c.arrival)
	c.t = max(arrival, c.t)
	c.offset, c.pending = float64(c.arrival), 0
	c.env = envelope{}
	c.strays = 0
	c.env.add(0, c.arrival)
}

// forward is the step from the last clock to dev, taken as the shortest way on
// for a clock that wraps, and negative for another one that went back.
func (c *Clock) forward(dev time.Duration) time.Duration {
	d := dev - c.dev
	if c.wrap < math.MaxInt64 {
		d %= c.wrap
		if d < 0 {
			d += c.wrap
		}
	}
	return d
}

// step unwinds the board's clock, and says no if it must have restarted.
func (c *Clock) step(arrival, dev time.Duration) (time.Duration, bool) {
	d := c.forward(dev)
	if d < 0 {
		return 0, false
	}
	gap := arrival - c.arrival
	// As far as the board can have come if this reading had no delay.
	most := arrival - c.board - time.Duration(c.offset)
	allow := slack + time.Duration(maxDrift*float64(gap))
	if d > most+allow {
		return 0, false
	}
	// After a pause longer than a wrap, whole turns have gone unseen.
	if c.wrap < math.MaxInt64 && gap > c.wrap/2 {
		d += max(0, most+min(allow, c.wrap/4)-d) / c.wrap * c.wrap
	}
	return d, true
}

// advance carries the envelope on by a step of the board's clock.
func (c *Clock) advance(step time.Duration) {
	ns := float64(step)
	c.offset += float64(c.slope * ns)
	most := float64(slewRate * ns)
	move := max(-most, min(most, c.pending))
	c.offset += move
	c.pending -= move
}

// stray keeps count of readings that are all far behind the envelope.
func (c *Clock) stray(arrival time.Duration, excess float64) bool {
	if excess <= float64(strayBy) {
		c.strays = 0
		return false
	}
	if c.strays == 0 {
		c.straySince = arrival
	}
	c.strays++
	return c.strays >= strayCount && arrival-c.straySince >= strayFor
}

// refit takes over a new estimate of the envelope.
func (c *Clock) refit() {
	goal, slope, known := c.env.fit(float64(c.board), c.slope)
	if known {
		c.slope = slope
	}
	c.pending = goal - c.offset
}
