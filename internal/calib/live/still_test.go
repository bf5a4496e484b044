package live

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"draghand/internal/calib"
	"draghand/internal/si"
)

// The example rig's sensor: 700 bar, a count of 0.2136 bar (16 mA over 250 Ω on 12
// bits of 5 V: 3276.8 counts; by hand).
const (
	testStep = 700 * si.Bar / 3276.8
	testSpan = 700 * si.Bar
)

// feedStill runs a pressure of the time through a finder, rounded to counts, and
// gives when it first stood still, negative where it never did.
func feedStill(s *still, rate float64, d time.Duration, p func(t float64) float64) time.Duration {
	for i := 0; ; i++ {
		t := time.Duration(float64(i) / rate * 1e9)
		if t > d {
			return -1
		}
		s.add(t, math.Round(p(t.Seconds())/testStep)*testStep, 0, 0)
		if s.steady {
			return t
		}
	}
}

func TestStill(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	noise := func(sd float64) float64 { return sd * r.NormFloat64() }
	for name, c := range map[string]struct {
		rate, stated float64
		p            func(t float64) float64
		from, to     time.Duration // stands still within; from < 0: never
	}{
		"held":                    {200, 0, func(float64) float64 { return 100*si.Bar + noise(0.245*si.Bar) }, 2 * time.Second, 2200 * time.Millisecond},
		"no noise":                {200, 0, func(float64) float64 { return 100 * si.Bar }, 2 * time.Second, 2200 * time.Millisecond},
		"pumped to it":            {200, 0, func(t float64) float64 { return min(t, 5)*20*si.Bar + noise(0.2*si.Bar) }, 6500 * time.Millisecond, 7500 * time.Millisecond},
		"sinks 0.02 % a second":   {200, 0, func(t float64) float64 { return 100*si.Bar*(1-2e-4*t) + noise(0.2*si.Bar) }, 2 * time.Second, 3 * time.Second},
		"sinks 0.3 bar a second":  {200, 0, func(t float64) float64 { return 100*si.Bar - 0.3*si.Bar*t + noise(0.245*si.Bar) }, -1, 0},
		"sinks 1 % a second":      {200, 0, func(t float64) float64 { return 100*si.Bar*(1-1e-2*t) + noise(0.2*si.Bar) }, -1, 0},
		"rises 0.5 bar a second":  {200, 0, func(t float64) float64 { return 50*si.Bar + 0.5*si.Bar*t + noise(0.2*si.Bar) }, -1, 0},
		"restless":                {200, 0, func(float64) float64 { return 100*si.Bar + noise(1.2*si.Bar) }, -1, 0},
		"swings":                  {200, 0, func(t float64) float64 { return 100*si.Bar + 2*si.Bar*math.Sin(9*t) }, -1, 0},
		"strokes":                 {200, 0, func(t float64) float64 { return 20 * si.Bar * math.Floor(t) }, -1, 0},
		"10 readings a second":    {10, 0, func(float64) float64 { return 100*si.Bar + noise(0.245*si.Bar) }, 2 * time.Second, 2300 * time.Millisecond},
		"3 a second":              {3, 0, func(float64) float64 { return 100*si.Bar + noise(0.1*si.Bar) }, 3 * time.Second, 4 * time.Second},
		"1 a second, not stated":  {1, 0, func(float64) float64 { return 100 * si.Bar }, -1, 0},
		"1 a second, as stated":   {1, 1, func(float64) float64 { return 100 * si.Bar }, 9 * time.Second, 12 * time.Second},
		"50,000 a second":         {50e3, 0, func(float64) float64 { return 100*si.Bar + noise(0.245*si.Bar) }, 2 * time.Second, 2100 * time.Millisecond},
		"at no load":              {200, 0, func(float64) float64 { return noise(0.245 * si.Bar) }, 2 * time.Second, 2200 * time.Millisecond},
		"low load, slow and fine": {20, 0, func(float64) float64 { return 3 * si.Bar }, 2 * time.Second, 2300 * time.Millisecond},
	} {
		t.Run(name, func(t *testing.T) {
			s := newStill(testStep, testSpan, c.stated)
			at := feedStill(&s, c.rate, 15*time.Second, c.p)
			switch {
			case c.from < 0:
				if at >= 0 {
					t.Fatalf("stood still after %s: %+v", at, s.w)
				}
				if !s.w.long { // too slow a source
					return
				}
				if why := s.moving(0, si.Metric); !strings.HasPrefix(why, "it ") {
					t.Errorf("told of it: %q", why)
				}
			case at < c.from || at > c.to:
				t.Errorf("stood still after %s, want %s to %s; drift %g, may %g, sd %g", at, c.from, c.to, s.w.drift, s.mostDrift(s.w, 0), s.w.sd)
			}
		})
	}
}

// The mean is that of the window, not of what came before it, and raw is its twin.
func TestStillMean(t *testing.T) {
	s := newStill(testStep, testSpan, 0)
	at := time.Duration(0)
	add := func(p float64, d time.Duration) {
		for end := at + d; at < end; at += 5 * time.Millisecond {
			s.add(at, p, p/testStep, 0)
		}
	}
	add(50*si.Bar, 3*time.Second)
	if s.stands != 1 || math.Abs(s.w.p-50*si.Bar) > 1 || s.w.n < 300 || s.w.n > 325 {
		t.Fatalf("stands %d at %g of %d", s.stands, s.w.p, s.w.n)
	}
	add(80*si.Bar, 1*time.Second)
	if s.steady || s.reached < 0.3 || s.reached > 0.6 {
		t.Fatalf("a second after a step: steady %v, %g of the way", s.steady, s.reached)
	}
	add(80*si.Bar, 1500*time.Millisecond)
	if !s.steady || s.stands != 2 || math.Abs(s.w.p-80*si.Bar) > 1 || math.Abs(s.w.raw-80*si.Bar/testStep) > 1e-6 {
		t.Fatalf("after it: %v, stands %d, %g, raw %g", s.steady, s.stands, s.w.p, s.w.raw)
	}
	at += 600 * time.Millisecond // nothing came
	add(80*si.Bar, time.Second)
	if s.steady {
		t.Fatal("a hole is bridged")
	}
}

// Up, down, up again on the way, off and up: the direction by itself.
func TestWay(t *testing.T) {
	w := way{span: testSpan}
	var offs int
	go1 := func(from, to float64) calib.Direction {
		for i := 0; i <= 100; i++ {
			if w.add((from + (to-from)*float64(i)/100) * si.Bar) {
				offs++
			}
		}
		return w.going()
	}
	for i, c := range []struct {
		from, to float64
		want     calib.Direction
	}{
		{0, 100, calib.Rising},
		{100, 98, calib.Rising},     // the valve closes
		{98, 200, calib.Rising},     //
		{200, 195, calib.Rising},    // 2.5 %: it may be a leak
		{195, 150, calib.Falling},   //
		{150, 153, calib.Falling},   // a little up again
		{153, 100, calib.Falling},   //
		{100, 120, calib.Rising},    // pumped again
		{120, 60, calib.Falling},    //
		{60, 0, calib.Rising},       // off: the next comes up
		{0, 60, calib.Rising},       //
		{60, 59, calib.Rising},      //
		{59, 40, calib.Falling},     //
		{40, 0, calib.Rising},       //
		{0, -1, calib.Rising},       //
		{-1, 3.4, calib.Rising},     // under what counts as load
		{3.4, 20, calib.Rising},     //
		{20, 20.0001, calib.Rising}, //
	} {
		if got := go1(c.from, c.to); got != c.want {
			t.Errorf("%d: from %g to %g bar: %s, want %s", i, c.from, c.to, got, c.want)
		}
	}
	if offs != 2 {
		t.Errorf("the load came off %d times, want 2", offs)
	}
	for _, c := range []struct{ top, at, want float64 }{{100, 99.9, 0}, {100, 98, 2}, {100, 99.6, 0}} { // SD 0.25 bar
		w = way{span: testSpan}
		go1(0, c.top)
		go1(c.top, c.at)
		if got := w.passed(c.at*si.Bar, 0.25*si.Bar) / si.Bar; math.Abs(got-c.want) > 0.01 {
			t.Errorf("up to %g bar and back to %g: passed by %g, want %g", c.top, c.at, got, c.want)
		}
	}
	w = way{span: testSpan}
	go1(0, 100)
	go1(100, 50)
	go1(50, 51)
	if got := w.passed(51*si.Bar, 0.25*si.Bar) / si.Bar; w.going() != calib.Falling || math.Abs(got-1) > 0.01 {
		t.Errorf("down to 50 bar and up to 51: passed by %g", got)
	}
	// A lone wild mean is no highest.
	w = way{span: testSpan}
	go1(0, 100)
	w.add(500 * si.Bar)
	if go1(100, 100) != calib.Rising {
		t.Error("a lone wild value made it fall")
	}
}
