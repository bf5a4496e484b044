package main

import (
	"fmt"
	"os"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// corner is a time (s) and a force on the specimen (N) that a typed-in pull
// comes by, in a straight line from the one before.
type corner struct{ t, force float64 }

// typedIn are pulls typed in, for scripts: nothing was measured and no metal
// pulled.
var typedIn = map[string][]corner{
	// By a motor: an upper yield of 24 kN, down to 23.3 kN, there for 2 s, then
	// hardening to 30 kN, and the break.
	"yield": {{3, 0}, {7, 24e3}, {7.2, 23.3e3}, {9.2, 23.4e3}, {19.2, 30e3}, {19.205, 0}, {24, 0}},
	// By a hand pump, a stroke a second: 3 kN each up to 18 kN, from there on 0.6.
	"giving": append(pumped(corner{3, 0}, 6, 3e3, 8, 600), corner{17.5, 22.8e3}, corner{17.505, 0}, corner{22, 0}),
	// A joint that slips twice on the way.
	"slips": {{3, 0}, {6, 15e3}, {6.02, 11e3}, {8, 19e3}, {8.02, 14e3}, {12, 30e3}, {12.005, 0}, {17, 0}},
}

// pumped is a way of n strokes that gain so much, and then n2 that gain less.
func pumped(from corner, n int, gain float64, n2 int, less float64) []corner {
	way := []corner{from}
	for i := range n + n2 {
		if i == n {
			gain = less
		}
		from.force += gain
		way = append(way, corner{from.t + 0.6, from.force}, corner{from.t + 1, from.force})
		from.t++
	}
	return way
}

// scriptTrace writes a typed-in pull as the board of the example rig would send
// it, 200 lines a second: trace NAME FILE.
func scriptTrace(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 || typedIn[args[0]] == nil {
		ts.Fatalf("usage: trace NAME FILE")
	}
	var b strings.Builder
	at := corner{}
	i := 0
	for _, to := range typedIn[args[0]] {
		for ; float64(i)/200 <= to.t; i++ {
			f := at.force + (to.force-at.force)*(float64(i)/200-at.t)/(to.t-at.t)
			// 1 N on the specimen is 2 / 42 cm² of 700 bar on 3276.8 counts.
			raw := 819.2 + 2*f/42e-4/70e6*3276.8 + float64(i*7%5-2)/4
			fmt.Fprintf(&b, "%d,%.0f\n", i*5000, raw)
		}
		at = to
	}
	if err := os.WriteFile(ts.MkAbs(args[1]), []byte(b.String()), 0o644); err != nil {
		ts.Fatalf("%v", err)
	}
}
