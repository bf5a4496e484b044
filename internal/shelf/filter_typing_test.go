package shelf

import (
	"strings"
	"testing"
)

// Of the term at the cursor, marked |, no fault is found while it is typed; of the others
// it is, and the filter is the same. That there is no such field is no matter of the rest of it.
func TestParseTyping(t *testing.T) {
	for text, fault := range map[string]string{
		"strength>|":                     "",
		"alloy:C905 strength>4|":         "",
		"strength> |":                    "strength>",
		"strenght|":                      "", // a word, as yet
		"strenght>|":                     "strenght>",
		"m1 -strenght>40k|":              "-strenght>40k",
		"14:0|":                          "14:0",
		"strength> m1|":                  "strength>",
		"|strength>":                     "strength>",
		"stre|ngth>":                     "",
		"strength>| since:20":            "since:20",
		"since:20 strength>|":            "since:20",
		"since:20 | strength>":           "since:20",
		"-since:20|":                     "",
		`strength:"40 k|`:                "",
		"m1|":                            "",
		"melt:Öfen strength>|":           "",
		"melt:Öfen strength> |":          "strength>",
		"\xff strength>|":                "", // longer as it is read
		strings.Repeat("m ", 32) + "m |": "m",
	} {
		at := strings.IndexByte(text, '|')
		bare := strings.Replace(text, "|", "", 1)
		if strings.HasPrefix(bare, "\xff") {
			at += 2
		}
		got, err := ParseTyping(bare, at)
		if f, _ := ParseFilter(bare); f.String() != got.String() {
			t.Errorf("%q: %q, want %q", text, got, f)
		}
		switch e, is := err.(*TermError); {
		case (err != nil) != (fault != ""), is && e.Term != fault:
			t.Errorf("%q: %v, want a fault of %q", text, err, fault)
		}
	}
}
