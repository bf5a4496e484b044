package specimen

import (
	_ "embed"
	"fmt"
	"strings"
	"unicode"

	"draghand/internal/si"
)

//go:embed alloys.csv
var alloysFile string // never changed

// Basis says what a figure of an alloy is.
type Basis string

// The bases. A ceiling is reckoned from the hardest a standard lets the metal
// be: the metal may lie anywhere below.
const (
	Minimum Basis = "minimum"
	Typical Basis = "typical"
	Ceiling Basis = "ceiling"
)

// Alloy is one row of the table: an alloy in one condition, on one basis.
type Alloy struct {
	Name      string    `json:"name"`
	Also      string    `json:"also,omitempty"` // other words for it
	Condition string    `json:"condition,omitempty"`
	Basis     Basis     `json:"basis"`
	UTSLow    si.Stress `json:"strength_low_pa"`
	UTSHigh   si.Stress `json:"strength_high_pa"` // the same where the table gives one figure
	Yield     si.Stress `json:"yield_pa,omitempty"`
	// ElongationLow and ElongationHigh are in percent; 0: not stated.
	ElongationLow  float64 `json:"elongation_low_pct,omitempty"`
	ElongationHigh float64 `json:"elongation_high_pct,omitempty"`
	Standard       string  `json:"standard,omitempty"`
	Provenance     string  `json:"provenance,omitempty"`
	Source         string  `json:"source,omitempty"`
	Note           string  `json:"note,omitempty"`
	Own            bool    `json:"own,omitempty"` // of a person's own file
}

// Table is a list of alloys.
type Table []Alloy

// Alloys is the table of the program. Minimums are of bars cast apart, but for
// the wrought rows: a bar cut from a casting may have 75 % of the strength.
func Alloys() Table {
	t, err := ReadAlloys("the program's own table", strings.NewReader(alloysFile))
	if err != nil { // a test holds that it reads
		return nil
	}
	return t
}

// With is the table with a person's own alloys before it; the rows of an alloy
// they name too are left out.
func (t Table) With(own Table) Table {
	theirs := map[string]bool{}
	out := make(Table, 0, len(own)+len(t))
	for _, a := range own {
		a.Own = true
		theirs[squeezed(a.Name)] = true
		out = append(out, a)
	}
	for _, a := range t {
		if !theirs[squeezed(a.Name)] {
			out = append(out, a)
		}
	}
	return out
}

// Find gives the rows a person may mean: "c90500", "grey iron 30", "356 T6",
// "za12". Case, blanks and hyphens count for nothing, nor do the words class and
// alloy; every other word must be of the row. Where a row has exactly that name
// the others are left out.
func (t Table) Find(name string) Table {
	asked := words(name)
	if len(asked) == 0 {
		return nil
	}
	var named, like Table
	for _, a := range t {
		switch match(a, name, asked) {
		case byName:
			named = append(named, a)
		case byWords:
			like = append(like, a)
		}
	}
	if len(named) > 0 {
		return named
	}
	return like
}

// How a row answers to a name.
const (
	not = iota
	byWords
	byName
)

func match(a Alloy, text string, asked []string) int {
	whole := squeezed(text)
	own := words(a.Name)
	rest := asked
	full := false
	// The name first, in any spelling, and the condition behind it.
	for n := len(asked); n > 0 && !full; n-- {
		if strings.Join(asked[:n], "") == squeezed(a.Name) {
			full, rest = true, asked[n:]
		}
	}
	about := words(a.Also + " " + a.Condition)
	of := func(list []string, w string) bool {
		for _, v := range list {
			if v == w {
				return true
			}
		}
		return false
	}
	if full {
		for _, w := range rest {
			if !of(about, w) {
				return not
			}
		}
		return byName
	}
	if len(whole) < 3 { // a number of a bar may be written for an alloy
		return not
	}
	hit := false
	for _, w := range asked {
		switch {
		case of(own, w), of(words(a.Also), w):
			hit = true
		case !of(about, w):
			return not
		}
	}
	if hit {
		return byWords
	}
	return not
}

// words are the words of a name, in small letters, without what says nothing.
func words(text string) []string {
	var out []string
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return r != '.' && !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}) {
		w = strings.Trim(strings.TrimSuffix(w, ".0"), ".")
		switch w {
		case "", "class", "alloy":
			continue
		case "gray":
			w = "grey"
		case "aluminum":
			w = "aluminium"
		}
		out = append(out, w)
	}
	return out
}

// squeezed is a name without blanks and signs.
func squeezed(text string) string { return strings.Join(words(text), "") }

// Rules of ours for the range a bar is planned with, where a table gives one
// figure: it is no statement about a melt.
const (
	highOfTypical  = 1.2 // the strongest bar, of what is typical
	highOfMinimum  = 1.5 // the same where only a minimum is known
	lowOfTypical   = 0.8 // the weakest bar, where only the typical is known
	ruleOfTypical  = "typical × 1.2"
	ruleOfMinimum  = "minimum × 1.5, no typical figure is known"
	ruleOfWeakest  = "typical × 0.8, no minimum is known"
	ruleOfStandard = "minimum"
)

// Expected is the range of strength to plan a bar with.
type Expected struct {
	Low, High           si.Stress
	Name                string // of the alloy as the table writes it
	LowWords, HighWords string // what each is: "minimum, ASTM B584"
	Rows                Table
}

// Words say where the range is from, in one line.
func (e Expected) Words() string {
	return fmt.Sprintf("%s: from %s; to %s", e.Name, e.LowWords, e.HighWords)
}

// Strength is between what stresses a bar of this alloy breaks: from the
// minimum (where none is known, typical × 0.8) to the typical × 1.2 (where none
// is known, minimum × 1.5). Where the name fits several conditions it is the
// widest of them. ok is false where no alloy, or more than one, has that name.
func (t Table) Strength(name string) (e Expected, ok bool) {
	rows := t.Find(name)
	if len(rows) == 0 {
		return e, false
	}
	e.Name, e.Rows = rows[0].Name, rows
	tempers := map[string]Table{}
	for _, a := range rows {
		if squeezed(a.Name) != squeezed(e.Name) {
			return Expected{}, false
		}
		temper, _, _ := strings.Cut(a.Condition, " ")
		tempers[temper] = append(tempers[temper], a)
	}
	for _, a := range rows { // in the order of the table, so that the words are the same each time
		temper, _, _ := strings.Cut(a.Condition, " ")
		group := tempers[temper]
		has := func(b Basis) bool {
			for _, v := range group {
				if v.Basis == b {
					return true
				}
			}
			return false
		}
		low, high := si.Stress(0), si.Stress(0)
		lowRule, highRule := "", ""
		switch a.Basis {
		case Minimum:
			low, lowRule = a.UTSLow, ruleOfStandard
			if !has(Typical) {
				high, highRule = highOfMinimum*a.UTSHigh, ruleOfMinimum
			}
		case Typical:
			high, highRule = highOfTypical*a.UTSHigh, ruleOfTypical
			if !has(Minimum) {
				low, lowRule = lowOfTypical*a.UTSLow, ruleOfWeakest
			}
		default:
			low, lowRule = lowOfTypical*a.UTSLow, "0.8 of the most its hardness lets it have"
			high, highRule = highOfTypical*a.UTSHigh, "1.2 of the most its hardness lets it have"
		}
		if low > 0 && (e.Low == 0 || low < e.Low) {
			e.Low, e.LowWords = low, a.source(lowRule)
		}
		if high > e.High {
			e.High, e.HighWords = high, a.source(highRule)
		}
	}
	return e, e.Low > 0 && e.High >= e.Low
}

// source is a rule with the condition and standard of the row behind it.
func (a Alloy) source(rule string) string {
	for _, s := range []string{a.Condition, a.Standard} {
		if s != "" {
			rule += ", " + s
		}
	}
	if strings.HasPrefix(a.Provenance, "memory") {
		rule += " (from memory)"
	}
	return rule
}
