package wire

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"pgregory.net/rapid"
)

const (
	us = time.Microsecond
	ms = time.Millisecond
	s  = time.Second
)

// reading is a reading as the host gets it, with the true time at which the board
// took it, which only the test knows.
type reading struct{ true, arrival, dev time.Duration }

// link is a simulated board and the way from it to the host.
type link struct {
	period   time.Duration
	count    int
	ppm      float64       // the board's clock is fast by so much
	startDev time.Duration // the board's clock at the first reading
	wrap     time.Duration // 0: never
	burst    time.Duration // readings are handed over together, so often
	jitter   time.Duration // and then late by a random time up to this
	rare     time.Duration // one in a hundred hand-overs is late by up to this
	drop     float64       // share of readings that are lost
	// stall: the reader does nothing from stallAt for stallFor; the first
	// backlog readings of that time wait, the rest is lost.
	stallAt, stallFor time.Duration
	backlog           int
}

func (l link) run(seed uint64) []reading {
	r := rand.New(rand.NewPCG(seed, 1))
	var out []reading
	var handed, until time.Duration
	waiting := 0
	for i := range l.count {
		at := s + time.Duration(i)*l.period
		dev := l.startDev + time.Duration(float64(time.Duration(i)*l.period)*(1+l.ppm*1e-6)).Truncate(us)
		if l.wrap > 0 {
			dev %= l.wrap
		}
		if r.Float64() < l.drop {
			continue
		}
		arrival := at + 50*us
		if l.burst > 0 {
			arrival = (at/l.burst + 1) * l.burst
		}
		if arrival != until { // a hand-over of its own
			until = arrival
			handed = arrival + time.Duration(r.Float64()*float64(l.jitter))
			if l.rare > 0 && r.IntN(100) == 0 {
				handed += time.Duration(r.Float64() * float64(l.rare))
			}
		}
		arrival = handed
		if l.stallFor > 0 && at >= l.stallAt && at < l.stallAt+l.stallFor {
			if waiting++; waiting > l.backlog {
				continue
			}
			arrival = max(arrival, l.stallAt+l.stallFor)
		}
		if n := len(out); n > 0 {
			arrival = max(arrival, out[n-1].arrival)
		}
		out = append(out, reading{at, arrival, dev})
	}
	return out
}

// judge maps readings and holds what must always hold. It gives the times and
// the number of restarts.
func judge(t *testing.T, c *Clock, in []reading) (times []time.Duration, restarts int) {
	t.Helper()
	var before time.Duration
	for i, r := range in {
		at, restarted := c.Map(r.arrival, r.dev)
		if restarted {
			restarts++
		}
		if at > r.arrival {
			t.Fatalf("reading %d: mapped to %v, after its arrival at %v", i, at, r.arrival)
		}
		if at < before {
			t.Fatalf("reading %d: mapped to %v, before the %v of the one before", i, at, before)
		}
		before = at
		times = append(times, at)
	}
	return times, restarts
}

func TestClockFollowsTheBoard(t *testing.T) {
	const wrap32 = 1 << 32 * us
	kilo := link{period: ms, count: 60000, burst: 10 * ms, jitter: 300 * us}
	with := func(change func(*link)) link {
		l := kilo
		change(&l)
		return l
	}
	rows := []struct {
		name string
		link link
		bits int
		// spacing is by how much the time between neighbours may differ from the
		// true one, after the first 10 s: the slew is 20 µs a reading of 1 kHz,
		// the drift of the board's clock adds itself.
		spacing time.Duration
		// late is by how much the mapped time may differ from the true one, after
		// 10 s: the least delay of the link, here 50 µs, or in bursts the 1 ms that
		// the last reading of one waits, and some tens of µs.
		late time.Duration
		ppm  float64 // tolerance of the drift
	}{
		{"bursts of 10 ms", kilo, 32, 50 * us, 1050 * us, 5},
		{"bursts, clock slow by 150 ppm", with(func(l *link) { l.ppm = -150 }), 32, 50 * us, 1050 * us, 5},
		{"bursts, clock fast by 150 ppm", with(func(l *link) { l.ppm = 150 }), 32, 50 * us, 1050 * us, 5},
		{"ceramic resonator, fast by 0.5 %", with(func(l *link) { l.ppm = 5000 }), 32, 50 * us, 2 * ms, 20},
		{"ceramic resonator, slow by 0.5 %", with(func(l *link) { l.ppm = -5000 }), 32, 50 * us, 2 * ms, 20},
		// No reading may overtake another, so a small delay is rare, and one smaller
		// than any of the last half minute shortens one spacing.
		{"single readings, jitter of 5 ms, rare 80 ms", link{period: ms, count: 60000, jitter: 5 * ms, rare: 80 * ms, ppm: 40}, 32, 250 * us, ms, 10},
		{"a tenth of the lines missing", with(func(l *link) { l.drop = 0.1; l.ppm = 60 }), 32, 50 * us, 1050 * us, 5},
		{"wraps after 5 s, 32 bits", with(func(l *link) { l.startDev = wrap32 - 5*s; l.wrap = wrap32; l.ppm = 80 }), 32, 50 * us, 1050 * us, 5},
		{"wraps after 30 s, 32 bits", with(func(l *link) { l.startDev = wrap32 - 30*s; l.wrap = wrap32; l.ppm = -80 }), 32, 50 * us, 1050 * us, 5},
		{"wraps every 16.8 s, 24 bits", with(func(l *link) { l.wrap = 1 << 24 * us }), 24, 50 * us, 1050 * us, 5},
		{"never wraps", with(func(l *link) { l.startDev = 1000 * time.Hour }), 0, 50 * us, 1050 * us, 5},
		{"10 readings a second", link{period: 100 * ms, count: 3000, jitter: 3 * ms, ppm: 100}, 32, 2100 * us, 3 * ms, 60},
		{"reader stops 3 s, all waits", with(func(l *link) { l.stallAt, l.stallFor, l.backlog = 30*s, 3*s, 1<<30; l.ppm = 100 }), 32, 50 * us, 1050 * us, 5},
		{"reader stops 3 min, 4 KiB wait, the rest is lost", with(func(l *link) { l.count = 300000; l.stallAt, l.stallFor, l.backlog = 30*s, 180*s, 256; l.ppm = 100 }), 32, 50 * us, 1050 * us, 5},
		{"reader stops 40 s over two wraps of 16.8 s", with(func(l *link) {
			l.count = 120000
			l.wrap = 1 << 24 * us
			l.stallAt, l.stallFor = 30*s, 40*s
		}), 24, 50 * us, 1050 * us, 5},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			in := r.link.run(7)
			c := NewClock(us, r.bits)
			times, restarts := judge(t, c, in)
			if restarts != 0 {
				t.Errorf("%d restarts, want none", restarts)
			}
			var worst, off time.Duration
			for i := 1; i < len(in); i++ {
				if in[i].true < 11*s {
					continue
				}
				worst = max(worst, (times[i] - times[i-1] - (in[i].true - in[i-1].true)).Abs())
				off = max(off, (times[i] - in[i].true).Abs())
			}
			t.Logf("spacing off by %v, time by %v, drift %.1f ppm", worst, off, c.Drift())
			// Across a pause the board's drift alone moves its time.
			allow := r.spacing
			if r.link.stallFor > 0 {
				allow += time.Duration(math.Abs(r.link.ppm) * 1e-6 * float64(r.link.stallFor))
			}
			if worst > allow {
				t.Errorf("spacing is off by up to %v, want at most %v", worst, allow)
			}
			if off > r.late {
				t.Errorf("times are off by up to %v, want at most %v", off, r.late)
			}
			if d := c.Drift() - r.link.ppm; math.Abs(d) > r.ppm {
				t.Errorf("Drift() = %.1f ppm, want %.0f ± %.0f", c.Drift(), r.link.ppm, r.ppm)
			}
		})
	}
}

// shift moves the board's clock of in[from:] and later arrivals.
func shift(in []reading, from int, dev, later time.Duration) []reading {
	out := append([]reading(nil), in...)
	for i := from; i < len(out); i++ {
		out[i].dev += dev
		out[i].true += later
		out[i].arrival += later
	}
	return out
}

func TestClockSeesRestarts(t *testing.T) {
	base := link{period: ms, count: 20000, jitter: ms, startDev: 10 * time.Minute}
	in := base.run(3)
	const at = 8000
	zero := -in[at].dev // the clock begins at 0 with reading at
	one := append([]reading(nil), in...)
	one[at].dev += 9 * time.Hour % (1 << 32 * us)
	rows := []struct {
		name     string
		in       []reading
		bits     int
		restarts int
		first    int // index of the first restart; -1: somewhere later
	}{
		{"board starts anew after 1.5 s, 32 bits", shift(in, at, zero, 1500*ms), 32, 1, at},
		{"board starts anew after 1.5 s, never wraps", shift(in, at, zero, 1500*ms), 0, 1, at},
		{"board starts anew at once", shift(in, at, zero, 0), 32, 1, at},
		{"clock goes back by one tick too many", shift(in, at, -2*ms, 0), 32, 1, at},
		{"one clock with a wrong digit", one, 32, 2, at},
		{"clock jumps ahead for good", shift(in, at, 20*s, 0), 32, 1, at},
		{"clock loses 300 ms for good", shift(in, at, 0, 300*ms), 32, 1, -1},
		{"clock loses 20 s for good", shift(in, at, 0, 20*s), 32, 1, -1},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			times, restarts := judge(t, NewClock(us, r.bits), r.in)
			if restarts != r.restarts {
				t.Errorf("%d restarts, want %d", restarts, r.restarts)
			}
			c := NewClock(us, r.bits)
			first := -1
			for i, x := range r.in {
				if _, re := c.Map(x.arrival, x.dev); re && first < 0 {
					first = i
				}
			}
			if r.first >= 0 && first != r.first {
				t.Errorf("the restart was seen at reading %d, want %d", first, r.first)
			}
			// A clock that lost time is found out after strayFor.
			if r.first < 0 && (first < at || r.in[first].arrival-r.in[at].arrival > 3*s) {
				t.Errorf("the restart was seen at reading %d, want soon after %d", first, at)
			}
			// Afterwards the times are right again, within the jitter.
			last := len(times) - 1
			if off := (times[last] - r.in[last].true).Abs(); off > 2*ms {
				t.Errorf("in the end the time is off by %v", off)
			}
		})
	}
}

func TestClockWrapIsSeamless(t *testing.T) {
	// Hand: 32 bits of µs wrap after 4,294.967296 s; two readings 1 ms apart
	// across the wrap, arriving without jitter.
	c := NewClock(us, 32)
	if wrapOf(us, 32) != 4294967296*us {
		t.Fatalf("wrapOf(1 µs, 32) = %v", wrapOf(us, 32))
	}
	c.Map(10*s, 4294966796*us)
	at, restarted := c.Map(10*s+ms, 500*us)
	if at != 10*s+ms || restarted {
		t.Errorf("Map across the wrap = %v, %v, want %v, false", at, restarted, 10*s+ms)
	}
}

func TestClockAlone(t *testing.T) {
	rows := []struct {
		name     string
		tick     time.Duration
		bits     int
		dev      []time.Duration
		want     []time.Duration
		restarts int
	}{
		{"plain", us, 0, []time.Duration{5 * s, 5*s + ms, 6 * s}, []time.Duration{0, ms, s}, 0},
		{"wrap", us, 32, []time.Duration{4294967295 * us, 0, ms}, []time.Duration{0, us, us + ms}, 0},
		{"restart, never wraps", us, 0, []time.Duration{5 * s, 6 * s, 0, ms}, []time.Duration{0, s, s, s + ms}, 1},
		{"restart, wraps", us, 32, []time.Duration{5 * s, 6 * s, 0, ms}, []time.Duration{0, s, s, s + ms}, 1},
		{"equal ticks", ms, 16, []time.Duration{5 * s, 5 * s}, []time.Duration{0, 0}, 0},
	}
	for _, r := range rows {
		c := NewClock(r.tick, r.bits)
		restarts := 0
		for i, dev := range r.dev {
			at, re := c.Alone(dev)
			if re {
				restarts++
			}
			if at != r.want[i] {
				t.Errorf("%s: Alone(%v) = %v, want %v", r.name, dev, at, r.want[i])
			}
		}
		if restarts != r.restarts {
			t.Errorf("%s: %d restarts, want %d", r.name, restarts, r.restarts)
		}
	}
}

// clockLaw maps any readings whatever and holds what a caller relies on.
func clockLaw(t interface{ Fatalf(string, ...any) }, bits int, in []reading) {
	c, again := NewClock(us, bits), NewClock(us, bits)
	alone := NewClock(us, bits)
	var newest, before, aloneBefore time.Duration
	for i, r := range in {
		at, re := c.Map(r.arrival, r.dev)
		newest = max(newest, r.arrival)
		if at > newest || at < before {
			t.Fatalf("reading %d of %v: mapped to %v; arrivals up to %v, the one before %v", i, in, at, newest, before)
		}
		if d := c.Drift(); math.Abs(d) > 2.1*maxDrift*1e6 || math.IsNaN(d) {
			t.Fatalf("reading %d of %v: drift %v ppm", i, in, d)
		}
		if re && at != newest {
			t.Fatalf("reading %d of %v: a restart at %v, want its arrival %v", i, in, at, newest)
		}
		if at2, re2 := again.Map(r.arrival, r.dev); at2 != at || re2 != re {
			t.Fatalf("reading %d of %v: %v and %v from the same readings", i, in, at, at2)
		}
		before = at
		a, _ := alone.Alone(r.dev)
		if a < aloneBefore {
			t.Fatalf("reading %d of %v: alone at %v, before %v", i, in, a, aloneBefore)
		}
		aloneBefore = a
	}
}

func TestClockLaws(t *testing.T) {
	step := rapid.OneOf(rapid.Just(int64(1000)), rapid.Int64Range(0, 2000), rapid.Int64Range(0, 1e6), rapid.Int64Range(0, 1e10))
	rapid.Check(t, func(t *rapid.T) {
		bits := rapid.SampledFrom([]int{0, 20, 24, 32}).Draw(t, "bits")
		var in []reading
		var arrival, dev int64
		for range rapid.IntRange(1, 300).Draw(t, "count") {
			d := step.Draw(t, "step")
			arrival += d + rapid.Int64Range(-500, 500).Draw(t, "jitter")
			if rapid.IntRange(0, 30).Draw(t, "odd") == 0 {
				dev = rapid.Int64Range(0, 1<<33).Draw(t, "dev")
			} else {
				dev += d
			}
			in = append(in, reading{arrival: time.Duration(max(0, arrival)) * us, dev: time.Duration(dev) * us})
		}
		clockLaw(t, bits, in)
	})
}

func FuzzClock(f *testing.F) {
	f.Add(uint8(32), []byte{0, 10, 0, 10, 0, 10})
	f.Add(uint8(0), []byte{1, 255, 7, 3, 0, 255, 255, 255})
	f.Fuzz(func(t *testing.T, bits uint8, data []byte) {
		var in []reading
		var arrival, dev time.Duration
		for len(data) >= 4 {
			arrival += time.Duration(data[0]) * time.Duration(data[0]) * 100 * us
			move := time.Duration(data[1]) << (data[2] % 28) * us
			if data[3]%16 == 0 {
				move = -min(dev, move)
			}
			dev += move
			in = append(in, reading{arrival: arrival, dev: dev})
			data = data[4:]
		}
		clockLaw(t, 20+int(bits)%20, in)
	})
}
