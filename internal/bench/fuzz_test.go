package bench

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"draghand/internal/si"
	"draghand/internal/specimen"
)

// FuzzParse: whatever a person writes, nothing panics; and what is read, once
// printed, is read again as the very same.
func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"12.51 mm, 12.49 mm", "0.492 in; 0.493 in", "12.51 12.49 mm", `.5"`, "12,5 mm", "1 2", "mm", "12.5mm 0.5in", "+12 mm;;", "1e1 mm",
		"40 ksi .. 50 ksi", "40..50 ksi", "275 – 345 MPa", "45 ksi", "40 to 50 ksi", "..", "... ksi", "40 ... 50 ksi",
		"6.02 x 3.01 mm", "tube 12 x 1.5 mm ± 0.01 mm", "1150 °C, green sand", ",;,", "60 s", "2 min", "1m30s", "-1s", "1e400h", "\x1b[2J", "\u202e12 mm",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		text := tidy(s)
		if tidy(text) != text || len(text) > maxText || !utf8.ValidString(text) || strings.ContainsFunc(text, unicode.IsControl) {
			t.Fatalf("tidy(%q) = %q", s, text)
		}
		for _, in := range []string{s, text} {
			if z, err := specimen.ParseSizes(in); err == nil {
				if again, err := specimen.ParseSizes(z.String()); err != nil || !reflect.DeepEqual(z, again) {
					t.Fatalf("%q is read as %v, printed as %q and read as %v, %v", in, z, z.String(), again, err)
				}
				for _, sys := range []si.System{si.US, si.Metric} { // rounded once, it stays
					shown := z.Text(sys)
					again, err := specimen.ParseSizes(shown)
					if err == nil && again.Text(sys) != shown {
						t.Fatalf("%q is shown as %q and then as %q", in, shown, again.Text(sys))
					}
				}
			}
			if low, high, err := ParseExpect(in); err == nil {
				exact := between(low, high, si.Stress.String)
				if l, h, err := ParseExpect(exact); err != nil || l != low || h != high || low > high {
					t.Fatalf("%q is read as %v to %v, printed as %q and read as %v to %v, %v", in, low, high, exact, l, h, err)
				}
			}
			if tags, err := ParseTags(in); err == nil {
				if again, err := ParseTags(strings.Join(tags, ", ")); err != nil || !slices.Equal(tags, again) {
					t.Fatalf("%q is read as %q and then as %q, %v", in, tags, again, err)
				}
			}
			if d, err := ParseHold(in); err == nil {
				if again, err := ParseHold(d.String()); err != nil || again != d {
					t.Fatalf("%q is read as %v and then as %v, %v", in, d, again, err)
				}
			}
			if id := nextID(text, nil); text != "" && len(text) <= maxName && (id == text || len(id) > maxName) {
				t.Fatalf("next after %q is %q", text, id)
			}
		}
	})
}
