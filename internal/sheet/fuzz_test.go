package sheet_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"draghand/internal/sheet"
)

// Properties of whatever is read: every line is accounted for; a row's number is
// what strconv gives for its cleaned text; times since the first row never go
// back; the signs and the extremes are as stated; and the table as understood,
// written as plain comma separated text, reads back as the same rows.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"Time (s),Load (kN)\n0.0,0.5\n0.1,1.25\n",
		"Zeit;Kraft;Weg\r\ns;kN;mm\r\n0;0,5;1\r\n0,1;-1,25;\r\n\r\nEnde\r\n",
		"{'a':1, 'b':'c' }\ntime,load\n1e3,-1.5E-2\n1001.5,nan\n,2\n",
		"Time\tForce (lbf)\n14:03:22,5\t1\n14:03:22.6\t2\n00:00:01\t3\n",
		"\xef\xbb\xbf\"Time (s)\",\"Load, x (N)\"\r\"0,5\",\"1,25\"\r",
		"Zeit [\xb5s];Kraft [N]\n1;2\n", "1,234;2\n1.5;2\n", "s,N\n-9e9,1\n9e9,2\n", "Time,N\n12:59:59,1\n1:00:00,2\n1:00:00 PM,2\n", "s,N\n1,2\n2,3\nend\n3,0x1\n", "  1   2\n 3   4\n", "time_s,force_N\n1,-2\n",
		"\xff\xfet\x00 \x00(\x00s\x00)\x00,\x00N\x00\n\x001\x00,\x002\x00\n\x00",
		"s,N\n9223372036,1\n9223372036.854775807,2\n1e-30,3\n",
	} {
		for mode := range uint8(16) {
			f.Add([]byte(s), mode)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte, mode uint8) {
		o := sheet.Options{}
		if mode&1 != 0 {
			o.Columns, o.Units = map[sheet.Role]string{sheet.Time: "1", sheet.Force: "2"}, units("s", "kN")
		}
		switch {
		case mode&2 != 0:
			o.FlipSign = true
		case mode&4 != 0:
			o.KeepSign = true
		}
		if mode&8 != 0 {
			o.Rate, o.Columns, o.Units = 7, nil, units("", "N")
		}
		got, err := sheet.Read(data, o)
		if err != nil {
			var e *sheet.Error
			if !errors.As(err, &e) || e.What == "" || e.Next == "" {
				t.Fatalf("an error without words: %#v", err)
			}
			return
		}
		accounted(t, got)
		if len(got.Rows) == 0 {
			t.Fatal("no rows and no error")
		}
		low, high := math.Inf(1), math.Inf(-1)
		for i, r := range got.Rows {
			v, err := strconv.ParseFloat(r.LoadText, 64)
			if err != nil || v != r.Load && (v == v || r.Load == r.Load) {
				t.Fatalf("row %d: %q is %v (%v), kept %v", i, r.LoadText, v, err, r.Load)
			}
			if v == v {
				low, high = min(low, v), max(high, v)
			}
			if r.T < 0 || i > 0 && r.T < got.Rows[i-1].T {
				t.Fatalf("row %d at %v after %v", i, r.T, got.Rows[max(i-1, 0)].T)
			}
			for _, c := range r.Channels {
				if _, err := strconv.ParseFloat(c, 64); c != "" && err != nil && !errors.Is(err, strconv.ErrRange) {
					t.Fatalf("row %d: the channel's %q is no number", i, c)
				}
			}
		}
		if low != got.Low || high != got.High || !o.KeepSign && -low > high {
			t.Fatalf("%v to %v stated, %v to %v found", got.Low, got.High, low, high)
		}
		again(t, got)
	})
}

// again writes the table as plain comma separated text and reads it back.
func again(t *testing.T, got *sheet.Table) {
	t.Helper()
	if len(got.Rows) > 2000 || len(got.Channels)+2 > sheet.MaxColumns { // the rate's times are one column more
		return
	}
	var b strings.Builder
	b.WriteString("time (s),force (N)")
	for i := range got.Channels {
		b.WriteString(",x" + strconv.Itoa(i))
	}
	b.WriteByte('\n')
	for _, r := range got.Rows {
		b.WriteString(nanoText(int64(r.Time)) + "," + r.LoadText)
		for _, c := range r.Channels {
			b.WriteString("," + c)
		}
		b.WriteByte('\n')
	}
	back, err := sheet.Read([]byte(b.String()), sheet.Options{
		Separator: ",", Decimal: "point", KeepSign: true, Units: units("s", "N"),
		Columns: map[sheet.Role]string{sheet.Time: "1", sheet.Force: "2"},
	})
	if err != nil {
		t.Fatalf("written plainly it is refused: %v\n%s", err, b.String())
	}
	if len(back.Rows) != len(got.Rows) || back.BadRows.Count != 0 {
		t.Fatalf("%d rows and %d bad ones come back of %d\n%s", len(back.Rows), back.BadRows.Count, len(got.Rows), b.String())
	}
	for i, r := range back.Rows {
		w := got.Rows[i]
		if r.Time != w.Time || r.T != w.T || r.LoadText != w.LoadText || strings.Join(r.Channels, ",") != strings.Join(w.Channels, ",") {
			t.Fatalf("row %d comes back as %+v, was %+v", i, r, w)
		}
	}
}

// nanoText writes nanoseconds as seconds, exactly.
func nanoText(ns int64) string {
	sign := ""
	u := uint64(ns)
	if ns < 0 {
		sign, u = "-", -u
	}
	frac := strconv.FormatUint(u%1e9, 10)
	return sign + strconv.FormatUint(u/1e9, 10) + "." + strings.Repeat("0", 9-len(frac)) + frac
}
