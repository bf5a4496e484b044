package sheet_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"draghand/internal/sheet"
)

func utf16le(s string) string {
	b := []byte{0xFF, 0xFE}
	for _, u := range utf16.Encode([]rune(s)) {
		b = append(b, byte(u), byte(u>>8))
	}
	return string(b)
}

func utf16be(s string) string {
	b := []byte{0xFE, 0xFF}
	for _, u := range utf16.Encode([]rune(s)) {
		b = append(b, byte(u>>8), byte(u))
	}
	return string(b)
}

func units(time, force string) map[sheet.Role]string {
	out := map[sheet.Role]string{}
	if time != "" {
		out[sheet.Time] = time
	}
	if force != "" {
		out[sheet.Force] = force
	}
	return out
}

// ms are the wanted times since the first row, in ms.
type rows struct {
	ms   []float64
	load []float64
}

// Dialects: all tables are made up for this test. want is what a person reads
// in the text.
func TestRead(t *testing.T) {
	plain := rows{[]float64{0, 100, 200}, []float64{0.5, 1.25, 2}}
	for _, c := range []struct {
		name, text string
		o          sheet.Options
		want       rows
		more       string // what else is understood, see summary
	}{
		{"comma, units in brackets", "Time (s),Load (kN)\n0.0,0.5\n0.1,1.25\n0.2,2\n", sheet.Options{}, plain, "ASCII LF , point header[1] time:s force:kN bad0 skip0"},
		{"square brackets", "Time [s],Load [kN]\n0.0,0.5\n0.1,1.25\n0.2,2\n", sheet.Options{}, plain, ""},
		{"underscored units", "time_ms,force_N\n0,0.5\n100,1.25\n200,2\n", sheet.Options{}, plain, "ASCII LF , point header[1] time:ms force:N bad0 skip0"},
		{"stroke and in", "Zeit / s;Kraft in kN\n0,0;0,5\n0,1;1,25\n0,2;2\n", sheet.Options{}, plain, "ASCII LF ; comma header[1] time:s force:kN bad0 skip0"},
		{"units in their own row", "Time;Load\n(sec);(kN)\n0;0,5\n0,1;1,25\n0,2;2\n", sheet.Options{}, plain, "ASCII LF ; comma header[1 2] time:s force:kN bad0 skip0"},
		{"units above the names", "s;kN\nTime;Load\n0;0,5\n0,1;1,25\n0,2;2\n", sheet.Options{}, plain, "ASCII LF ; comma header[1 2] time:s force:kN bad0 skip0"},
		{"units and no names", "s;kN\n0;0,5\n0,1;1,25\n0,2;2\n", sheet.Options{}, plain, "ASCII LF ; comma header[1] time:s force:kN bad0 skip0"},
		{"tabs, CR LF, preamble, footer", "Report of a test\r\nOperator\tNN\r\nBars\t2\r\n\r\nTime\tForce\r\ns\tkN\r\n0\t0.5\r\n0.1\t1.25\r\n0.2\t2\r\n\r\nend of data\r\n", sheet.Options{}, plain, "ASCII CR LF tab point header[5 6] time:s force:kN bad0 skip6"},
		{"CR alone", "Time (s),Load (kN)\r0,0.5\r0.1,1.25\r0.2,2", sheet.Options{}, plain, "ASCII CR , point header[1] time:s force:kN bad0 skip0"},
		{"blanks, aligned", "  Time (s)   Load (kN)\n   0.0        0.5\n   0.1        1.25\n   0.2        2\n", sheet.Options{}, plain, "ASCII LF space point header[1] time:s force:kN bad0 skip0"},
		{"UTF-8 with mark", "\ufeffTime (s),Load (kN),Δl (µm)\n0,0.5,1\n0.1,1.25,2\n0.2,2,3\n", sheet.Options{}, plain, "UTF-8 with a byte order mark LF , point header[1] time:s force:kN bad0 skip0"},
		{"UTF-8", "Zeit in s;Prüfkraft in N\n0;0,5\n0,1;1,25\n0,2;2\n", sheet.Options{}, plain, "UTF-8 LF ; comma header[1] time:s force:N bad0 skip0"},
		{"Latin-1", "Zeit [\xb5s];Pr\xfcfkraft [N];T [\xb0C];A [mm\xb2]\n0;0,5;1;1\n100000;1,25;1;1\n200000;2;1;1\n", sheet.Options{}, plain, "Latin-1 LF ; comma header[1] time:us force:N bad0 skip0"},
		{"UTF-16 little end first", utf16le("Time (s),Load (kN)\r\n0,0.5\r\n0.1,1.25\r\n0.2,2\r\n"), sheet.Options{}, plain, "UTF-16 CR LF , point header[1] time:s force:kN bad0 skip0"},
		{"UTF-16 big end first", utf16be("Time (s),Load (kN)\n0,0.5\n0.1,1.25\n0.2,2\n"), sheet.Options{}, plain, "UTF-16 LF , point header[1] time:s force:kN bad0 skip0"},
		{"quoted, decimal comma between commas", "\"Time (s)\",\"Load, gross (kN)\"\n\"0,0\",\"0,5\"\n\"0,1\",\"1,25\"\n\"0,2\",\"2\"\n", sheet.Options{}, plain, "ASCII LF , comma header[1] time:s force:kN bad0 skip0"},
		{"French", "Temps (s);Effort (daN);Charge (kN)\n0;1;0,5\n0,1;1;1,25\n0,2;1;2\n", sheet.Options{Columns: map[sheet.Role]string{sheet.Force: "3"}}, plain, ""},
		{"Spanish", "Tiempo (s);Fuerza (kN);Desplazamiento (mm)\n0;0,5;0\n0,1;1,25;0\n0,2;2;0\n", sheet.Options{}, plain, ""},
		{"force wins over stress", "time (s),stress (MPa),force (kN)\n0,9,0.5\n0.1,9,1.25\n0.2,9,2\n", sheet.Options{}, plain, ""},
		{"stress alone", "time (s),stress (MPa)\n0,0.5\n0.1,1.25\n0.2,2\n", sheet.Options{}, plain, "ASCII LF , point header[1] time:s stress:MPa bad0 skip0"},
		{"a set point is no force", "time_s,force_kN,force_setpoint_kN\n0,0.5,9\n0.1,1.25,9\n0.2,2,9\n", sheet.Options{}, plain, ""},
		{"a length is no load", "time (s),load point (mm),x (kN)\n0,9,0.5\n0.1,9,1.25\n0.2,9,2\n", sheet.Options{}, plain, ""},
		{"units given", "time,load\n0,0.5\n100,1.25\n200,2\n", sheet.Options{Units: units("ms", "lbf")}, plain, "ASCII LF , point header[1] time:ms force:lbf bad0 skip0"},
		{"no header, numbers", "1,0,0.5\n1,0.1,1.25\n1,0.2,2\n", sheet.Options{Columns: map[sheet.Role]string{sheet.Time: "2", sheet.Force: "3"}, Units: units("s", "N")}, plain, "ASCII LF , point header[] time:s force:N bad0 skip0"},
		{"columns by name", "a;b\n0;0,5\n100;1,25\n200;2\n", sheet.Options{Columns: map[sheet.Role]string{sheet.Time: "a", sheet.Force: "B"}, Units: units("ms", "N")}, plain, ""},
		{"rate, one column", "Load (kN)\n0.5\n1.25\n2\n", sheet.Options{Rate: 10}, plain, "ASCII LF none point header[1] force:kN bad0 skip0"},
		{"rate, one column, decimal comma", "Kraft (kN)\n0,5\n1,25\n2\n", sheet.Options{Rate: 10}, plain, "ASCII LF none comma header[1] force:kN bad0 skip0"},
		{"rate in place of the times", "Time (s),Load (kN)\n7,0.5\n7,1.25\n7,2\n", sheet.Options{Rate: 10}, plain, ""},
		{"lines skipped", "Time (ms),Load (N)\n1,1\n2,2\nTime (s),Load (kN)\n0,0.5\n0.1,1.25\n0.2,2\n", sheet.Options{SkipLines: 3}, plain, "ASCII LF , point header[4] time:s force:kN bad0 skip3"},
		{"flipped", "Time (s),Load (kN)\n0,-0.5\n0.1,-1.25\n0.2,-2\n", sheet.Options{FlipSign: true}, plain, ""},
		{"kept negative", "Time (s),Load (kN)\n0,-0.5\n0.1,-1.25\n", sheet.Options{KeepSign: true}, rows{[]float64{0, 100}, []float64{-0.5, -1.25}}, ""},
		{"typographic minus", "Time (s),Load (kN)\n0,\u22120.5\n0.1,1.25\n", sheet.Options{}, rows{[]float64{0, 100}, []float64{-0.5, 1.25}}, ""},
		{"time of day", "Time;Load (kN)\n23:59:59,900;0,5\n00:00:00,000;1,25\n00:00:00,100;2\n", sheet.Options{}, plain, ""},
		{"date and time", "Date,Load (kN)\n2026-11-25 14:03:22.5,0.5\n2026-11-25T14:03:22.6Z,1.25\n25.11.2026 14:03:22.7,2\n", sheet.Options{Columns: map[sheet.Role]string{sheet.Time: "Date"}}, plain, ""},
		{"date beside the time", "Date;Time;Load (kN)\n25.11.2026;14:03:22,5;0,5\n25.11.2026;14:03:22,6;1,25\n25.11.2026;14:03:22,7;2\n", sheet.Options{}, plain, ""},
		{"minutes", "t (min),F (N)\n0,0.5\n0.5,1.25\n1e0,2\n", sheet.Options{}, rows{[]float64{0, 30000, 60000}, plain.load}, ""},
		{"gap words", "Time (s),Load (kN)\n0,0.5\n0.1,NaN\n0.2,n/a\n0.3,2\n", sheet.Options{}, rows{[]float64{0, 100, 200, 300}, []float64{0.5, math.NaN(), math.NaN(), 2}}, ""},
		{"empty cells", "Time (s);Load (kN);Strain (%)\n0;0,5;\n0,1;;1\n;1;1\n0,2;1,25\n0,3;2;\n", sheet.Options{}, rows{[]float64{0, 200, 300}, plain.load}, "ASCII LF ; comma header[1] time:s force:kN bad2 skip0"},
		{"text amid rows", "Time (s);Load (kN)\n0;0,5\n# pause\n0,1;1,25\nloading goes on\n0,2;2\n", sheet.Options{}, plain, "ASCII LF ; comma header[1] time:s force:kN bad2 skip0"},
		{"a column of words", "Time (s),Load (kN),State\n0,0.5,ok\n0.1,1.25,ok\n0.2,2,ok\n", sheet.Options{}, plain, ""},
		{"the header again, as on a new page", "Time (s),Load (kN)\n0,0.5\nTime (s),Load (kN)\n0.1,1.25\n0.2,2\n", sheet.Options{}, plain, "ASCII LF , point header[1] time:s force:kN bad1 skip0"},
		{"another table behind", "Time (s),Load (kN)\n0,0.5\n0.1,1.25\n0.2,2\n\nTime (s),Stroke (mm)\n0,1\n1,2\n", sheet.Options{}, plain, "ASCII LF , point header[1] time:s force:kN bad0 skip4"},
		{"a small table before", "Size,Count\n1,2\n3,4\n\nTime (s),Load (kN)\n0,0.5\n0.1,1.25\n0.2,2\n", sheet.Options{}, plain, "ASCII LF , point header[5] time:s force:kN bad0 skip4"},
		{"repeated times", "Time (s),Load (kN)\n0,0.5\n0,1.25\n0.1,2\n", sheet.Options{}, rows{[]float64{0, 0, 100}, plain.load}, ""},
		{"times going back", "Time (s),Load (kN)\n1,0.5\n1.2,1.25\n1.1,1.5\n1.3,2\n", sheet.Options{}, rows{[]float64{0, 200, 200, 300}, []float64{0.5, 1.25, 1.5, 2}}, ""},
		// A number in the time column makes a line after the table a reading that was lost.
		{"bad rows at the end", "Time (s),Load (kN)\n0,0.5\n0.1,1.25\n0.2,2\n0.3,1.0D+02\n0.4,0x10\n\n0.5,1_000\n", sheet.Options{}, plain, "ASCII LF , point header[1] time:s force:kN bad3 skip1"},
		{"one bad row at the end, of three columns", "Time (s);Load (kN);Weg (mm)\n0;0,5;1\n0,1;1,25;1\n0,2;2;1\n0,3;1.0D+02;1\n", sheet.Options{}, plain, "ASCII LF ; comma header[1] time:s force:kN bad1 skip0"},
		{"one bad row at the end, the separator behind each", "Time (s),Load (kN),\n0,0.5,\n0.1,1.25,\n0.2,2,\n0.3,0x10,\n", sheet.Options{}, plain, "ASCII LF , point header[1] time:s force:kN bad1 skip0"},
		{"bad rows at the end, blanks", "Time (s)   Load (kN)\n0 0.5\n0.1 1.25\n0.2 2\n0.3 0x10\n", sheet.Options{}, plain, "ASCII LF space point header[1] time:s force:kN bad1 skip0"},
		{"bad rows at the end, times of day", "Time;Load (kN)\n23:59:59,900;0,5\n00:00:00,000;1,25\n00:00:00,100;2\n00:00:00,200;0x10\n", sheet.Options{}, plain, "ASCII LF ; comma header[1] time: force:kN bad1 skip0"},
		{"bad rows at the end, one column", "Load (kN)\n0.5\n1.25\n2\n1.0D+02\n3 bars\n", sheet.Options{Rate: 10}, plain, "ASCII LF none point header[1] force:kN bad1 skip1"},
		{"a footer and a bad row behind it", "Time (s),Load (kN)\n0,0.5\n0.1,1.25\n0.2,2\nMax,high\n7\n0.3,1.0D+02\nend,1 of 2\n", sheet.Options{}, plain, "ASCII LF , point header[1] time:s force:kN bad1 skip3"},
		{"decimal said", "Time (s);Load (kN)\n0;1,250\n1;2,500\n", sheet.Options{Decimal: "comma"}, rows{[]float64{0, 1000}, []float64{1.25, 2.5}}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := sheet.Read([]byte(c.text), c.o)
			if err != nil {
				t.Fatalf("%v; next: %s", err, err.(*sheet.Error).Next)
			}
			if len(got.Rows) != len(c.want.ms) {
				t.Fatalf("%d rows, want %d; bad %+v skipped %+v", len(got.Rows), len(c.want.ms), got.BadRows, got.Skipped)
			}
			for i, r := range got.Rows {
				if want := time.Duration(c.want.ms[i] * 1e6); r.T != want {
					t.Errorf("row %d at %v, want %v", i, r.T, want)
				}
				if w := c.want.load[i]; r.Load != w && (w == w || r.Load == r.Load) {
					t.Errorf("row %d: %v, want %v", i, r.Load, w)
				}
			}
			accounted(t, got)
			if c.more != "" && summary(got) != c.more {
				t.Errorf("understood %q, want %q", summary(got), c.more)
			}
		})
	}
}

func summary(t *sheet.Table) string {
	dec := "point"
	if t.DecimalComma {
		dec = "comma"
	}
	s := fmt.Sprintf("%s %s %s %s header%v", t.Encoding, t.LineEnd, t.Separator, dec, t.Header)
	if t.TimeColumn >= 0 {
		s += fmt.Sprintf(" time:%s", t.Columns[t.TimeColumn].Unit)
	}
	return s + fmt.Sprintf(" %s:%s bad%d skip%d", t.Load().Role, t.Load().Unit, t.BadRows.Count, t.Skipped.Count)
}

// accounted: every line is a header, a row, a bad row or skipped, and the bad
// rows are the ones counted beside the rows.
func accounted(t testing.TB, s *sheet.Table) {
	t.Helper()
	if n := len(s.Header) + len(s.Rows) + s.BadRows.Count + s.Skipped.Count; n != s.Lines {
		t.Errorf("%d header + %d rows + %d bad + %d skipped lines are not the %d there are", len(s.Header), len(s.Rows), s.BadRows.Count, s.Skipped.Count, s.Lines)
	}
	bad := s.BadAtEnd
	for _, r := range s.Rows {
		bad += r.Bad
	}
	if bad != s.BadRows.Count {
		t.Errorf("%d bad rows stand between the rows, %d are counted", bad, s.BadRows.Count)
	}
}

// What is refused, in which words.
func TestRefused(t *testing.T) {
	for _, c := range []struct {
		name, text string
		o          sheet.Options
		usage      bool
		what, next string // parts of them
	}{
		{"nothing", "", sheet.Options{}, false, "no rows of numbers", ""},
		{"words", "dear sir\nplease find no data\n", sheet.Options{}, false, "no rows of numbers", ""},
		{"a zipped spreadsheet", "PK\x03\x04\x00\x00", sheet.Options{}, false, "no text", "CSV"},
		{"thousands, both signs", "Time (s);Load (N)\n0;1.234,5\n1;2.345,6\n", sheet.Options{}, false, `line 2: "1.234,5" has signs between its thousands`, "without signs"},
		{"thousands, quoted", "Time (s),Load (N)\n0,\"1,234.5\"\n1,\"2,345.6\"\n", sheet.Options{}, false, `"1,234.5" has signs`, ""},
		{"thousands, blank", "Time (s);Load (N)\n0;1 234,5\n1;2 345,6\n", sheet.Options{}, false, `"1 234,5" has signs`, ""},
		{"thousands or decimals, comma", "Time (s);Load (N)\n0;1,234\n1;2,345\n", sheet.Options{}, true, "line 2: the comma may be a decimal sign or stand between thousands", "--decimal comma"},
		{"thousands or decimals, point", "Time (s);Load (N)\n0;1.234\n1;2.345\n", sheet.Options{}, true, "line 2: the point may be", "--decimal point"},
		{"both decimal signs", "Time (s);Load (N)\n0.5;1,25\n1.5;2,25\n", sheet.Options{}, true, "both a point and a comma", "--decimal"},
		{"decimal commas between commas", "Time (s),Load (kN)\n0,1,1,5\n0,2,2,5\n", sheet.Options{}, false, "cannot be told from the commas", "semicolons"},
		{"one column or two", "1,5\n2,5\n", sheet.Options{Rate: 1}, true, "may part two columns", "--separator"},
		{"no time", "Load (kN),Stroke (mm)\n1,2\n3,4\n", sheet.Options{}, true, `no column of times was found: there are 1 "Load" in kN, 2 "Stroke" in mm`, "--rate HZ"},
		{"no force", "Time (s),Stroke (mm)\n1,2\n3,4\n", sheet.Options{}, true, "no column of force was found", "--column force=NAME"},
		{"two forces", "Time (s),Load A (kN),Load B (kN)\n1,2,3\n3,4,5\n", sheet.Options{}, true, `more than one column may be the force: 2 "Load A" in kN, 3 "Load B" in kN`, "--column force=2"},
		{"two times", "Time (s),Elapsed (s),Load (kN)\n1,2,3\n3,4,5\n", sheet.Options{}, true, "more than one column may be the time", "--column time=1"},
		{"no unit of force", "Time (s),Load\n1,2\n3,4\n", sheet.Options{}, true, `the column "Load" gives no unit`, "--unit force=kN"},
		{"no unit of time", "Time,Load (N)\n1,2\n3,4\n", sheet.Options{}, true, `the column "Time" gives no unit`, "--unit time=s"},
		{"a mass", "Time (s),Load (kg)\n1,2\n3,4\n", sheet.Options{}, true, `"kg" of the column "Load" is no unit of force`, "--unit force=kgf"},
		{"a ton", "Time (s),Load (t)\n1,2\n3,4\n", sheet.Options{}, true, `"t" of the column "Load" is no unit of force`, "tonf"},
		{"negative", "Time (s),Load (kN)\n1,-2\n3,-4\n", sheet.Options{}, true, "mostly negative (-4 to -2)", "--flip-sign"},
		{"turned though positive", "Time (s),Load (kN)\n1,2\n3,4\n", sheet.Options{FlipSign: true}, true, "it was positive", "leave --flip-sign out"},
		{"both signs asked", "Time (s),Load (kN)\n1,2\n", sheet.Options{FlipSign: true, KeepSign: true}, true, "both turned and kept", ""},
		{"no such column", "Time (s),Load (kN)\n1,2\n", sheet.Options{Columns: map[sheet.Role]string{sheet.Force: "Kraft"}}, true, `no column "Kraft"`, ""},
		{"no such number", "Time (s),Load (kN)\n1,2\n", sheet.Options{Columns: map[sheet.Role]string{sheet.Force: "3"}}, true, "no column 3", "1 to 2"},
		{"dates with slashes", "Time,Load (kN)\n11/25/2026 14:03:22,2\n11/25/2026 14:03:23,3\n", sheet.Options{}, false, "a date with slashes can be read in two ways", ""},
		{"rate and time", "Time (s),Load (kN)\n1,2\n", sheet.Options{Rate: 5, Columns: map[sheet.Role]string{sheet.Time: "1"}}, true, "--rate takes the place", ""},
		{"rate of nothing", "Load (kN)\n1\n", sheet.Options{Rate: math.Inf(1)}, true, "rate", ""},
		{"unit that is none", "Time (s),Load\n1,2\n", sheet.Options{Units: units("", "stone")}, true, `"stone" is no unit known here`, "--unit force=kN"},
		{"skipped all", "Time (s),Load (kN)\n1,2\n", sheet.Options{SkipLines: 2}, true, "2 lines cannot be skipped", ""},
		{"separator unknown", "1,2\n", sheet.Options{Separator: "||"}, true, `separator "||"`, ""},
		{"header narrower than the rows", "Time (s);Load (kN)\n1;2;3\n4;5;6\n", sheet.Options{}, false, "the header has 2 columns and the rows have 3", "--skip-lines"},
		{"no number in the force", "Time (s),Load (kN),x\n1,nan,1\n2,nan,1\n", sheet.Options{}, false, `the column "Load" has no number in it`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := sheet.Read([]byte(c.text), c.o)
			var e *sheet.Error
			if !errors.As(err, &e) {
				t.Fatalf("%v, want a refusal; understood %+v", err, got)
			}
			if e.Usage != c.usage || !strings.Contains(e.What, c.what) || !strings.Contains(e.Next, c.next) {
				t.Errorf("usage %v: %s; next: %s", e.Usage, e.What, e.Next)
			}
		})
	}
}

func TestCounts(t *testing.T) {
	got, err := sheet.Read([]byte("t (s),F (N),Weg (mm)\n0,1,a\n0.1,2,0.5\n0.1,3,1\n0.05,4,1.5\n0.2,5,\n5,6,3\n5.1,7,3\n"), sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got.Repeated != 1 || got.Backward != 1 || got.Holes != 1 || got.LongestStep != 4800*time.Millisecond || got.LongestStepRow != 4 || got.Low != 1 || got.High != 7 {
		t.Errorf("%+v", got)
	}
	if math.Abs(got.Rate-10) > 1e-9 { // one over a tenth of a second in nanoseconds: exact but for the division
		t.Errorf("rate %v", got.Rate)
	}
	var travel []string
	for _, r := range got.Rows {
		travel = append(travel, r.Channels[0])
	}
	if s := strings.Join(travel, "|"); s != "|0.5|1|1.5||3|3" {
		t.Errorf("travel %s", s)
	}
}
