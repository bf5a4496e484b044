package batch

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// The tails and the median ranks, which have no name outside, against scipy.
func TestReferenceTails(t *testing.T) {
	text, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var ref struct {
		T struct {
			Rows []struct{ T, DoF, P float64 }
		} `json:"t_tail"`
		F struct {
			Rows []struct{ F, DoF1, DoF2, P float64 }
		} `json:"f_tail"`
		Rank struct {
			Rows []struct{ Rank, N, P float64 }
		} `json:"median_rank"`
	}
	if err := json.Unmarshal(text, &ref); err != nil {
		t.Fatal(err)
	}
	if len(ref.T.Rows) < 7 || len(ref.F.Rows) < 6 || len(ref.Rank.Rows) < 30 {
		t.Fatalf("%d, %d, %d rows", len(ref.T.Rows), len(ref.F.Rows), len(ref.Rank.Rows))
	}
	check := func(what string, at any, got, want, rel float64) {
		if !(math.Abs(got-want) <= rel*want) {
			t.Errorf("%s of %+v is %.15g, want %.15g", what, at, got, want)
		}
	}
	for _, row := range ref.T.Rows {
		check("tail of t", row, tailT(row.T, row.DoF), row.P, 1e-11)
	}
	for _, row := range ref.F.Rows {
		check("tail of F", row, tailF(row.F, row.DoF1, row.DoF2), row.P, 1e-10)
	}
	for _, row := range ref.Rank.Rows {
		check("median rank", row, medianRank(row.Rank, row.N), row.P, 1e-11)
	}
}
