package calib

import (
	"strings"
	"testing"

	"draghand/internal/rig"
)

// A certificate from the future says nothing of the points, an old one little.
func TestCertificateDates(t *testing.T) {
	for words, c := range map[string]struct {
		remark string
		class  bool
	}{
		"C-17, 2026-03-01": {"", true},
		"C-17":             {"", true},
		"C-17, 2027-03-01": {"after the points were taken", false},
		"C-17, 2023-03-01": {"more than 2 years before the points", true},
		"C-17, 2026-13-41": {"", true},
	} {
		per := example(t).Chain().SpecimenPer()
		run := taken(t, rig.AtSpecimen, truth{per: per, falling: true}, 5)
		once := run.Points
		for n := 2; n <= 3; n++ {
			for _, p := range once {
				p.Run = n
				run.Points = append(run.Points, p)
			}
		}
		run.Reference.Certificate, run.Reference.U = words, 0.0005
		a := reckoned(t, run, Options{})
		if got := strings.Join(a.Remarks, "\n"); c.remark != "" && !strings.Contains(got, c.remark) || c.remark == "" && strings.Contains(got, "certificate is") {
			t.Errorf("%s: remarks %s", words, got)
		}
		if got := strings.Join(a.Claims, "\n"); strings.Contains(got, "class") != c.class {
			t.Errorf("%s: claims %s, remarks %q", words, got, a.Remarks)
		}
	}
}

// A mass in a table is told as one, once for a column.
func TestTableMass(t *testing.T) {
	r := example(t)
	for name, table := range map[string]string{
		"header": "reference [kg],reading\n0,819\n100,830\n200,841\n",
		"cell":   "reference,reading\n0,819\n100 kg,830\n",
	} {
		_, err := ReadTable([]byte(table), r, TableOptions{At: rig.AtRam})
		if err == nil || strings.Count(err.Error(), "is a mass") != 1 || !strings.Contains(err.Error(), "mass times local gravity") || !strings.Contains(err.Error(), "kgf") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
