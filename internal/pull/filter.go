package pull

import "time"

// spot is one valid reading: when, as sent, and by the sensor's own line.
type spot struct {
	t   time.Duration
	raw float64
	p   float64 // Pa before any zero
}

// median3 keeps the last three valid readings. The median of three is the
// spike-proof force of the whole engine: it takes out any lone reading, and
// believes two in a row, which is exactly what the stop rule believes. It costs
// at most the rise of one reading at the very top: 0.1 s of pumping at 10 Hz,
// nothing to speak of at 1 kHz. A median of five would cost two.
type median3 struct {
	a, b, c spot // oldest first
	n       int
}

// add takes a valid reading and gives the spike-proof one, which is always one
// of the readings seen. ok is false for the very first reading, which nothing
// confirms yet; of two it is the lower.
func (m *median3) add(s spot) (mid spot, ok bool) {
	m.a, m.b, m.c = m.b, m.c, s
	if m.n < 3 {
		m.n++
		switch m.n {
		case 1:
			return s, false
		case 2:
			if m.b.p < m.c.p {
				return m.b, true
			}
			return m.c, true
		}
	}
	a, b, c := m.a.p, m.b.p, m.c.p
	switch {
	case (a <= b && b <= c) || (c <= b && b <= a):
		return m.b, true
	case (b <= a && a <= c) || (c <= a && a <= b):
		return m.a, true
	}
	return m.c, true
}

// mean is a short mean with a time constant instead of a count of readings, so
// that it does the same at every rate.
type mean struct {
	v    float64
	have bool
}

func (m *mean) add(v float64, dt time.Duration) float64 {
	if !m.have {
		m.v, m.have = v, true
		return v
	}
	m.v += (v - m.v) * (float64(dt) / float64(dt+meanTime))
	return m.v
}
