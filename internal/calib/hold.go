package calib

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// How far what a file says may lie from what its points say: the roundings of
// another order of sums, no more.
const (
	holdLine = 1e-6 // of the highest value
	holdSD   = 1e-4 // of itself
)

// holds says whether a file's line is that of its own points, and whether the rest
// of it is as it was written.
func (f *File) holds() error {
	c := &f.Calibration
	switch {
	case f.Run.At != c.At || f.Run.Far != c.Far:
		return errors.New("its points are of another place than its line")
	case !f.Run.Made.Equal(c.Made):
		return errors.New("its points are of another time than its line")
	case f.Run.Reference.U != c.ReferenceU:
		return errors.New("its points and its line are of references with another uncertainty")
	}
	k, err := newReckoner(f.Run, Options{Drop: f.Dropped})
	if err != nil {
		return fmt.Errorf("its line cannot be held against its points: %w", err)
	}
	fit := Fit
	if c.Line.ThroughZero {
		fit = FitThroughZero
	}
	l, err := fit(k.x, k.y)
	if err != nil {
		return fmt.Errorf("its line cannot be held against its points: %w", err)
	}
	low, high := slices.Min(k.x), slices.Max(k.x)
	near := func(a, b, by float64) bool { return math.Abs(a-b) <= by }
	top := math.Abs(l.At(high))
	of := func(l rig.CalibrationLine, p float64) float64 { return l.Offset + l.Slope*p }
	for _, p := range []float64{0, low, high} {
		if said, want := of(c.Line, p), l.At(p); !near(said, want, holdLine*top) {
			return fmt.Errorf("its line is not that of its own points: at %s it says %s, they say %s", si.Pressure(p).Text(k.sys), k.signed(said), k.signed(want))
		}
	}
	if c.Line.Points != l.Points || !near(float64(c.Line.Low), low, holdLine*high) || !near(float64(c.Line.High), high, holdLine*high) ||
		!near(float64(c.Line.Mean), l.Mean, holdLine*high) || !near(c.Line.SumSquares, l.SumSquares, holdLine*math.Abs(l.SumSquares)) ||
		!near(c.Line.SD, l.SD, holdSD*l.SD+1e-9*top) {
		return errors.New("what it says of its line, its range or its scatter, is not that of its own points")
	}
	if f.Sum != "" && f.Sum != f.sum() {
		return errors.New("it was changed after it was written: its sum does not match; only the words of the reference may be")
	}
	return nil
}

// sum is a checksum of all that pulls are reckoned by. The words of the reference
// may be changed by hand, a withdrawal comes later, and the program's name is no
// matter.
func (f *File) sum() string {
	g := *f
	g.Program, g.Sum, g.Withdrawn = "", "", nil
	g.Calibration.Reference, g.Calibration.Certificate = "", ""
	g.Run.Reference.Text, g.Run.Reference.Certificate = "", ""
	text, err := json.Marshal(g)
	if err != nil {
		return ""
	}
	h := sha256.Sum256(text)
	return hex.EncodeToString(h[:])
}
