// Package batch does the statistics of a set of numbers: what a batch of like bars
// says of the metal. It knows nothing of bars and of units; a result has the unit
// of the values. What a batch is too small for is NaN. No result depends on the
// order of the values.
package batch

import "errors"

// ErrFew says that a batch holds too few values for what is asked.
var ErrFew = errors.New("too few values")

// ErrValue says that a value cannot be: not finite, or not above zero where it
// must be.
var ErrValue = errors.New("a value cannot be used")

// Summary is what a batch is described by.
type Summary struct {
	N           int
	Mean        float64 // NaN of none
	SD          float64 // n−1; NaN of fewer than two
	CV          float64 // SD/Mean; NaN where it says nothing
	Median      float64
	Least, Most float64
	// MeanLow and MeanHigh are the two-sided interval of the mean at Level, by
	// Student's t; NaN of fewer than two.
	MeanLow, MeanHigh, Level float64
}

// Side is on which side a value is asked to lie apart.
type Side string

// The sides.
const (
	Low    Side = "low"
	High   Side = "high"
	Either Side = "either" // two-sided
)

// Outlier is the value farthest from the mean on the side that was asked for,
// judged by Grubbs' statistic. Nothing is dropped by it.
type Outlier struct {
	Index       int // into the values
	Value       float64
	Side        Side    // asked for
	Level       float64 // of significance, 0.05 say
	G, Critical float64
	P           float64 // upper bound (Bonferroni), 1 at the most
	Flagged     bool    // G > Critical
}

// Normality is how well a normal distribution of unknown mean and SD describes a
// batch, by Anderson and Darling.
type Normality struct {
	N        int
	A2       float64 // the statistic
	Adjusted float64 // A2·(1 + 0.75/n + 2.25/n²)
	P        float64 // approximate
}

// Weibull is a two-parameter Weibull distribution fitted by maximum likelihood:
// F(x) = 1 − exp(−(x/Scale)^Shape).
type Weibull struct {
	N, Failures    int // N with the censored ones
	Shape, Scale   float64
	LogLikelihood  float64
	Level          float64 // of the intervals below, by profile likelihood
	ShapeLow       float64
	ShapeHigh      float64
	ScaleLow       float64
	ScaleHigh      float64
	Unbiased       float64 // shape times Factor; NaN where anything is censored, or N is outside the table
	UnbiasedFactor float64
}

// Difference is Welch's comparison of two batches, the mean of the second less that
// of the first.
type Difference struct {
	Diff, SE, DoF    float64
	Low, High, Level float64 // of the two-sided interval
	T, P             float64 // two-sided
}

// Analysis is a one-way analysis of variance.
type Analysis struct {
	Groups, N         int
	Between, Within   float64 // sums of squares
	DoF1, DoF2        int
	F, P              float64
	WithinSD, AmongSD float64 // within a group; among group means, 0 where F < 1
}

// Plotted is a value with its place on a probability plot.
type Plotted struct {
	Index    int // into the values
	Value    float64
	Position float64 // of the distribution, 0 to 1
}
