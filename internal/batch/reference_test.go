package batch_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"

	"draghand/internal/batch"
)

type normalityCase struct {
	Name string
	X    []float64
	A2   float64
	A2R  float64 `json:"a2_R"`
	P    float64
}

type weibullCase struct {
	Name             string
	Values, Censored []float64
	Level            float64
	Shape, Scale     float64
	LogLik           float64
	ShapeLow         float64 `json:"shape_low"`
	ShapeHigh        float64 `json:"shape_high"`
	ScaleLow         float64 `json:"scale_low"`
	ScaleHigh        float64 `json:"scale_high"`
	ShapeR           float64 `json:"shape_R"`
	ScaleR           float64 `json:"scale_R"`
	LogLikR          float64 `json:"loglik_R"`
}

// references are what other programs made of the same numbers; the calls and the
// versions stand in the file.
type references struct {
	Tolerance struct {
		Rows []struct {
			N                      int
			Content, Confidence, K float64
		}
	}
	Welch struct {
		Rows []struct {
			Name                            string
			A, B                            []float64
			Level, T, P, DoF, Low, High, SE float64
		}
	}
	Variance struct {
		Rows []struct {
			Name                  string
			Groups                [][]float64
			F, P, Between, Within float64
			DoF1, DoF2            int
		}
	} `json:"anova"`
	Anderson struct {
		Rows  []normalityCase
		Mixed float64 `json:"jahanmi2_a2"`
	}
	Weibull struct{ Rows []weibullCase }
	Grubbs  struct {
		Rows []struct {
			N               int
			Level, Critical float64
			Either          bool
		}
	}
}

func reference(t *testing.T) references {
	t.Helper()
	text, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var r references
	if err := json.Unmarshal(text, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

func TestReferenceTolerance(t *testing.T) {
	rows := reference(t).Tolerance.Rows
	if len(rows) < 60 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		k, err := batch.ToleranceK(row.N, row.Content, row.Confidence)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("k of n %d, %g, %g", row.N, row.Content, row.Confidence), k, row.K, 1e-10)
	}
}

func TestReferenceWelch(t *testing.T) {
	rows := reference(t).Welch.Rows
	if len(rows) != 4 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) {
			d, err := batch.Welch(row.A, row.B, row.Level)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "t", d.T, row.T, 1e-11)
			near(t, "P", d.P, row.P, 1e-10)
			near(t, "degrees of freedom", d.DoF, row.DoF, 1e-11)
			near(t, "SE", d.SE, row.SE, 1e-12)
			within(t, "low end", d.Low, row.Low, 1e-9*row.SE)
			within(t, "high end", d.High, row.High, 1e-9*row.SE)
			back, err := batch.Welch(row.B, row.A, row.Level)
			if err != nil || back.Diff != -d.Diff || back.Low != -d.High || back.P != d.P {
				t.Errorf("the other way round: %+v, %v", back, err)
			}
		})
	}
}

func TestReferenceVariance(t *testing.T) {
	rows := reference(t).Variance.Rows
	if len(rows) != 3 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) {
			a, err := batch.Variance(row.Groups)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "F", a.F, row.F, 1e-11)
			near(t, "P", a.P, row.P, 1e-10)
			near(t, "between", a.Between, row.Between, 1e-10)
			near(t, "within", a.Within, row.Within, 1e-10)
			// by hand: the size that stands for groups of 5, of 10, and of 3, 2, 4, 1 is
			// 5, 10, and (10 − 30/10)/3
			size := map[string]float64{rows[0].Name: 5, rows[1].Name: 10, rows[2].Name: 7.0 / 3}[row.Name]
			among := row.Between/float64(row.DoF1) - row.Within/float64(row.DoF2)
			near(t, "SD within", a.WithinSD, math.Sqrt(row.Within/float64(row.DoF2)), 1e-10)
			near(t, "SD among", a.AmongSD, math.Sqrt(max(0, among)/size), 1e-10)
			if a.DoF1 != row.DoF1 || a.DoF2 != row.DoF2 || a.Groups != len(row.Groups) {
				t.Errorf("%+v", a)
			}
		})
	}
}

func TestReferenceNormality(t *testing.T) {
	rows := reference(t).Anderson.Rows
	if len(rows) != 6 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) {
			n, err := batch.Normal(row.X)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "A²", n.A2, row.A2, 1e-9)
			near(t, "A², R", n.A2, row.A2R, 1e-9)
			near(t, "P", n.P, row.P, 1e-8)
		})
	}
}

func TestReferenceWeibull(t *testing.T) {
	rows := reference(t).Weibull.Rows
	if len(rows) != 7 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) {
			w, err := batch.FitWeibull(row.Values, row.Censored, row.Level)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "shape", w.Shape, row.Shape, 1e-9)
			near(t, "scale", w.Scale, row.Scale, 1e-10)
			near(t, "likelihood", w.LogLikelihood, row.LogLik, 1e-9)
			near(t, "shape, R", w.Shape, row.ShapeR, 1e-6)
			near(t, "scale, R", w.Scale, row.ScaleR, 1e-7)
			near(t, "likelihood, R", w.LogLikelihood, row.LogLikR, 1e-8)
			near(t, "shape, low", w.ShapeLow, row.ShapeLow, 1e-7)
			near(t, "shape, high", w.ShapeHigh, row.ShapeHigh, 1e-7)
			near(t, "scale, low", w.ScaleLow, row.ScaleLow, 1e-7)
			near(t, "scale, high", w.ScaleHigh, row.ScaleHigh, 1e-7)
		})
	}
}

func TestReferenceGrubbs(t *testing.T) {
	rows := reference(t).Grubbs.Rows
	if len(rows) != 30 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		x := make([]float64, row.N)
		x[1] = 1
		side := batch.Low
		if row.Either {
			side = batch.Either
		}
		o, err := batch.Grubbs(x, side, row.Level)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("critical of n %d, %s, %g", row.N, side, row.Level), o.Critical, row.Critical, 1e-11)
	}
}
