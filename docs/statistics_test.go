package docs_test

import (
	"strings"
	"testing"

	"draghand/internal/batch"
)

// The factors and the five bars of docs/statistics.md, worked again.
func TestStatistics(t *testing.T) {
	for _, row := range table(t, "statistics.md", "factors") {
		for i, content := range []float64{0.90, 0.99} {
			k, err := batch.ToleranceK(int(number(t, row[0])), content, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if want := number(t, row[i+1]); k < want-0.0005 || k > want+0.0005 {
				t.Errorf("%s bars, content %g: %.5f, the page says %s", row[0], content, k, row[i+1])
			}
		}
	}
	s := batch.Summarize([]float64{44.1, 45.3, 43.8, 46.0, 44.9}, 0.95)
	b, _ := batch.ToleranceK(5, 0.90, 0.95)
	a, _ := batch.ToleranceK(5, 0.99, 0.95)
	page := read(t, "statistics.md")
	for _, f := range []struct {
		words string
		value float64
	}{
		{"mean 44.82, SD 0.893", s.SD},
		{"between 43.71 and", s.MeanLow},
		{"and 45.93;", s.MeanHigh},
		{" 41.78 is the 90/95", s.Mean - b*s.SD},
		{"bound, 39.69 the 99/95", s.Mean - a*s.SD},
	} {
		if !strings.Contains(strings.ReplaceAll(page, "\n", " "), f.words) {
			t.Errorf("the page does not say %q", f.words)
		}
		if said := lastNumber(t, f.words); f.value < said-0.005 || f.value > said+0.005 {
			t.Errorf("%q, worked again %.4f", f.words, f.value)
		}
	}
}

// lastNumber is the last number of a text that is not a bound's name.
func lastNumber(t *testing.T, text string) float64 {
	t.Helper()
	var last string
	for _, word := range strings.Fields(text) {
		word = strings.Trim(word, ";,")
		if strings.Contains(word, ".") {
			last = word
		}
	}
	return number(t, last)
}
