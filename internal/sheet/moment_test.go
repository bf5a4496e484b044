package sheet

import (
	"math/big"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// The slow twin: the same number as a fraction, rounded to the nearest
// nanosecond, halves away from zero.
func slowElapsed(s string, unit time.Duration) (time.Duration, bool) {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return 0, false
	}
	r.Mul(r, new(big.Rat).SetInt64(int64(unit)))
	neg := r.Sign() < 0
	r.Abs(r)
	r.Add(r, big.NewRat(1, 2))
	n := new(big.Int).Quo(r.Num(), r.Denom())
	if !n.IsInt64() || n.Int64() == 1<<63-1 {
		return 0, false
	}
	d := time.Duration(n.Int64())
	if neg {
		d = -d
	}
	return d, true
}

func TestElapsedAgainstFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(
			rapid.StringMatching(`[+-]?[0-9]{1,9}(\.[0-9]{0,20})?(e[+-]?[0-9])?`),
			rapid.StringMatching(`[+-]?[0-9]{5,7}\.[0-9]{10,40}`), // more digits than a uint64 has
			rapid.StringMatching(`[+-]?[0-9]{1,30}(\.[0-9]{0,40})?e-?[0-9]{1,2}`),
		).Draw(t, "s")
		unit := rapid.SampledFrom([]time.Duration{time.Microsecond, time.Millisecond, time.Second, time.Minute, time.Hour}).Draw(t, "unit")
		got, ok := elapsed(s, unit)
		want, wok := slowElapsed(s, unit)
		if ok != wok {
			t.Fatalf("%s of %v: %v, want %v", s, unit, ok, wok)
		}
		if ok && got != want {
			t.Fatalf("%s of %v: %d ns, want %d", s, unit, got, want)
		}
	})
}

func TestElapsed(t *testing.T) {
	for _, c := range []struct {
		s    string
		unit time.Duration
		want time.Duration
		ok   bool
	}{
		{"0", time.Second, 0, true},
		{"0.000000001", time.Second, 1, true},
		{"8.359999999999999579e-06", time.Second, 8360, true},
		{"0.0000000005", time.Second, 1, true},
		{"0.00000000049", time.Second, 0, true},
		{"-1.5", time.Millisecond, -1500 * time.Microsecond, true},
		{"1e3", time.Second, 1000 * time.Second, true},
		{"1e-40", time.Second, 0, true},
		{"0e999999999", time.Hour, 0, true},
		{"1e999999999", time.Microsecond, 0, false},
		{"9223372036.8", time.Second, 9223372036800 * time.Millisecond, true},
		{"9223372037", time.Second, 0, false},
		{"9223372036.854775806", time.Second, 1<<63 - 2, true},
		{"9223372036.8547758065", time.Second, 0, false},
		{"-9223372036.8547758065", time.Second, 0, false},
		{"000000000000000000000000001", time.Second, time.Second, true},
		{"10000000000000000000000e-21", time.Second, 10 * time.Second, true},
		// A nanosecond is 2.8e-13 of an hour: the twentieth digit can count.
		{"1000000.00000000000042", time.Hour, 3600000000000000002, true},
		{"-1000000.00000000000042", time.Hour, -3600000000000000002, true},
		{"0.00000000050000000000000000000001", time.Second, 1, true},
		{"0.00000000049999999999999999999999", time.Second, 0, true},
		{"12345678901234567890123e-99999", time.Hour, 0, true},
		{"12345678901234567890123e99999", time.Microsecond, 0, false},
	} {
		if got, ok := elapsed(c.s, c.unit); got != c.want || ok != c.ok {
			t.Errorf("%s of %v: %v %v, want %v %v", c.s, c.unit, got, ok, c.want, c.ok)
		}
	}
}

func TestMoment(t *testing.T) {
	day := time.Date(2026, 11, 25, 14, 3, 22, 500_000_000, time.UTC).UnixNano()
	for _, c := range []struct {
		s    string
		want time.Duration
		ok   bool
	}{
		{"14:03:22", 14*time.Hour + 3*time.Minute + 22*time.Second, true},
		{"9:03:02,5", 9*time.Hour + 3*time.Minute + 2*time.Second + 500*time.Millisecond, true},
		{"2026-11-25T14:03:22.5Z", time.Duration(day), true},
		{"25.11.2026 14:03:22,5", time.Duration(day), true},
		{"14:03", 0, false},
		{"11/25/2026 14:03:22", 0, false},
		{"14:63:22", 0, false},
		{"24:00:00", 0, false},
		{"2026-13-25 14:03:22", 0, false},
		{"14:03:22.5.1", 0, false},
		{"14:03:2e1", 0, false},
		{"2:03:22 PM", 0, false},
	} {
		got, _, why := moment(c.s)
		if got != c.want && c.ok || (why == "") != c.ok {
			t.Errorf("%s: %v %q, want %v %v", c.s, got, why, c.want, c.ok)
		}
	}
}
