package pull

import "time"

// cell is the mean of the readings of a moment, lone ones taken out.
type cell struct {
	t   time.Duration // of the newest reading in it
	raw float64       // of that
	p   float64       // mean, Pa by the sensor's own line
	n   int
}

const cellCount = 512 // a power of two: over a second of cells

// cells keep the last second of readings at any rate, for the falls of a noisy
// force: the ring of single readings is too short for that from 10 kHz on. A
// slow source has a reading a cell.
type cells struct {
	ring  [cellCount]cell
	n     int           // cells ever opened; the newest is still open
	first time.Duration // of the newest cell
	from  int           // first cell after the last hole
}

func (c *cells) add(m moment, hole bool) {
	k := &c.ring[(c.n-1)&(cellCount-1)]
	if hole || c.n == 0 || m.t-c.first >= cellSpan {
		c.n++
		c.first = m.t
		if hole {
			c.from = c.n - 1
		}
		c.ring[(c.n-1)&(cellCount-1)] = cell{t: m.t, raw: m.raw, p: m.p, n: 1}
		return
	}
	k.n++
	k.t, k.raw = m.t, m.raw
	k.p += (m.p - k.p) / float64(k.n)
}

func (c *cells) at(i int) *cell { return &c.ring[i&(cellCount-1)] }

// oldest is the oldest cell of one piece with the newest.
func (c *cells) oldest() int { return max(0, c.n-cellCount, c.from) }

// mean is the mean pressure of the readings from a time to another, both
// included; false where there are none.
func (c *cells) mean(from, to time.Duration) (float64, bool) {
	sum, n := 0.0, 0
	for i := c.n - 1; i >= c.oldest() && c.at(i).t >= from; i-- {
		if k := c.at(i); k.t <= to {
			sum += k.p * float64(k.n)
			n += k.n
		}
	}
	if n == 0 {
		return 0, false
	}
	return sum / float64(n), true
}

// around is the mean of the cells within half a span of the time of cell i.
func (c *cells) around(i int, span time.Duration) float64 {
	t := c.at(i).t
	sum, n := 0.0, 0
	for j := i; j >= c.oldest() && t-c.at(j).t <= span/2; j-- {
		sum += c.at(j).p * float64(c.at(j).n)
		n += c.at(j).n
	}
	for j := i + 1; j < c.n && c.at(j).t-t <= span/2; j++ {
		sum += c.at(j).p * float64(c.at(j).n)
		n += c.at(j).n
	}
	return sum / float64(n)
}
