package sheet_test

import (
	"strconv"
	"testing"

	"draghand/internal/sheet"
)

// A million rows of four columns with decimal commas. Goal: a few seconds, so
// that no person thinks it hangs.
func BenchmarkReadMillion(b *testing.B) {
	text := []byte("Time;Load;Travel;Strain\n(s);(kN);(mm);(%)\n")
	for i := range 1_000_000 {
		text = strconv.AppendInt(text, int64(i/100), 10)
		text = append(text, ',')
		text = strconv.AppendInt(text, int64(100+i%100), 10)
		for _, v := range []int{i % 50000, i % 7000, i % 300} {
			text = append(text, ";1,"...)
			text = strconv.AppendInt(text, int64(v), 10)
		}
		text = append(text, '\n')
	}
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		t, err := sheet.Read(text, sheet.Options{Decimal: "comma"})
		if err != nil || len(t.Rows) != 1_000_000 {
			b.Fatal(err)
		}
	}
}
