package compare_test

import (
	"testing"

	"draghand/internal/compare"
)

// A page has no word of what to type, and says the same else.
func TestOnPage(t *testing.T) {
	for in, want := range map[string]string{
		"all 5 bars count with remarks: no zero was taken (5); draghand results has them":                                                                               "all 5 bars count with remarks: no zero was taken (5); they stand with each bar",
		"nobody looked at the break of the bar yet: draghand finish takes where it broke and how it looks, and may rule a bar out":                                      "nobody looked at the break of the bar yet: where it broke and how it looks may rule a bar out",
		"the record is damaged: draghand check says what is intact":                                                                                                     "the record is damaged",
		"its peak is neither a strength nor a bar that held: where the bar broke tells it: draghand finish 2026-M1-3 --where middle":                                    "its peak is neither a strength nor a bar that held",
		"neither a strength nor a bar that held: enter it again with --outcome broken or let-off, or say where the bar broke: draghand finish 2026-M1-3 --where middle": "neither a strength nor a bar that held",
		"melts that differ by capitals or blanks alone are taken for different ones; if they are one, label them alike (draghand label): M1 and m1":                     "melts that differ by capitals or blanks alone are taken for different ones; if they are one, label them alike: M1 and m1",
		"a caution: with two colons": "a caution: with two colons",
	} {
		if got := compare.OnPage(in); got != want {
			t.Errorf("%q\nwant %q", got, want)
		}
	}
}
