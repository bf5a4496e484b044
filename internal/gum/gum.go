// Package gum reckons how sure a result is: to the first order with effective
// degrees of freedom (GUM, JCGM 100:2008, 5.1.2 and G.4.1), and by Monte Carlo
// (JCGM 101:2008) beside it. It knows nothing of what is measured.
package gum

// Dist is how the values of an input lie about its best estimate.
type Dist string

// The distributions of an input.
const (
	Normal  Dist = "normal"
	Uniform Dist = "uniform" // every value within ± U·√3 as likely (GUM 4.3.7)
	Student Dist = "student" // scaled and shifted t with DoF degrees of freedom (JCGM 101, 6.4.9)
)

// Input is one thing a result hangs on. Inputs are taken as independent.
type Input struct {
	Name  string
	Value float64 // best estimate
	U     float64 // standard uncertainty, in the unit of Value; ≥ 0
	DoF   float64 // degrees of freedom of U; +Inf or 0: it is known for sure
	// Scatter names the one estimate of a scatter that U comes from: inputs with
	// the same name, and the same DoF, are as wrong together. Empty: its own.
	Scatter string
	Dist    Dist
	Common  bool   // the same error in every result of this rig: it does not average out
	Source  string // where U comes from, in words
}

// Model is the result as a function of the inputs' values, in their order.
type Model func(x []float64) float64

// Part is what one input has in the doubt of the result.
type Part struct {
	Input
	Sensitivity float64 // ∂y/∂x at the best estimates
	U           float64 // |Sensitivity| · Input.U, in the unit of the result
	Fraction    float64 // of the variance, 0 to 1
}

// Result is the first order.
type Result struct {
	Value    float64
	U        float64 // combined standard uncertainty
	DoF      float64 // effective (Welch–Satterthwaite); +Inf where every input's is
	K        float64 // coverage factor: Factor of Coverage and DoF
	Coverage float64 // probability, 0.95
	Expanded float64 // K · U
	Common   float64 // the part of U from common inputs, root of the sum of squares
	Random   float64 // the rest, the same way
	Parts    []Part  // in the order of the inputs
}

// Trial is the Monte Carlo.
type Trial struct {
	Draws     int
	Seed      uint64
	Mean, SD  float64
	Low, High float64 // ends of the probabilistically symmetric coverage interval
}
