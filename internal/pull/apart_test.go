package pull

import (
	"math"
	"testing"
	"time"
)

// What the drag hand misses between the readings before a snap. A straight rise of
// 1 kN in 0.1 s without noise or counts; worked by hand: the median of three is
// one reading behind (Lag), and the force may have risen until the first reading
// of the fall (Most).
func TestApart(t *testing.T) {
	const rise = 10.0 // kN a second
	ramp := func(s *script, drop int) {
		s.play(3*time.Second, func(sec float64) float64 { return rise * sec })
		s.out = s.out[:len(s.out)-drop] // silence before the break
		s.hold(3*time.Second, 0)
	}
	for name, tc := range map[string]struct {
		hz        float64
		drop      int
		do        func(s *script)
		lag, most float64 // kN
	}{
		"10 a second":                    {10, 0, nil, 1, 2},
		"100 a second":                   {100, 0, nil, 0.1, 0.2},
		"1,000 a second":                 {1000, 0, nil, 0.01, 0.02},
		"silent for 0.2 s before it":     {100, 20, nil, 0.1, 2.2},
		"10 a second, at rest before it": {10, 0, func(s *script) { s.ramp(3*time.Second, 0, 30).hold(2*time.Second, 30).hold(3*time.Second, 0) }, 0, 0},
		"10 a second, falling before it": {10, 0, func(s *script) { s.ramp(3*time.Second, 0, 30).ramp(2*time.Second, 30, 28).hold(3*time.Second, 0) }, 0, 0},
		"let off":                        {100, 0, func(s *script) { s.ramp(3*time.Second, 0, 30).ramp(3*time.Second, 30, 0).hold(3*time.Second, 0) }, 0, 0},
	} {
		s := newScript(plainRig(), tc.hz, 0)
		s.hold(3*time.Second, 0)
		if tc.do != nil {
			tc.do(s)
		} else {
			ramp(s, tc.drop)
		}
		e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
		st := e.State()
		if lag, most := float64(st.Apart.Lag)/1e3, float64(st.Apart.Most)/1e3; math.Abs(lag-tc.lag) > 0.002 || math.Abs(most-tc.most) > 0.002 {
			t.Errorf("%s: lag %.4f kN, most %.4f, want %g and %g (outcome %q, peak %.3f)", name, lag, most, tc.lag, tc.most, st.Outcome, float64(st.Peak.Specimen)/1e3)
		}
	}
}

// With noise the figure is as sure as the readings: at 100 a second, noise of
// 0.1 kN and 1 kN/s, over 50 seeds its mean is within a fifth of the noise of what
// it is without.
func TestApartInNoise(t *testing.T) {
	var sum float64
	const runs = 50
	for i := range runs {
		s := newScript(plainRig(), 100, 0.1)
		for range i {
			s.rng.Float64()
		}
		s.hold(3*time.Second, 0).ramp(30*time.Second, 0, 30).hold(3*time.Second, 0)
		e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
		sum += float64(e.State().Apart.Most) / 1e3
	}
	if mean := sum / runs; mean > 0.02+0.1 {
		t.Errorf("mean of what may have been missed %.3f kN, want about 0.02", mean)
	}
}
