package shelf

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"draghand/internal/si"
	"draghand/internal/strength"
)

// term understands a term.
func (w written) term() (term, *TermError) {
	fail := func(why, next string, a ...any) (term, *TermError) {
		return term{}, &TermError{Term: w.shown, Why: why, Next: fmt.Sprintf(next, a...)}
	}
	if w.op == "" {
		if w.value == "" {
			return fail("a minus alone", "write the term behind it that must not hold, such as -is:simulated")
		}
		word := strings.ToLower(w.value)
		t := term{not: w.not, word: word, text: quote(word, true)}
		if linking(word) {
			if !w.quoted {
				return fail("there is no "+word+", all terms must hold", `leave it out, or put it in quotes to look for the word`)
			}
			t.text = `"` + word + `"`
		}
		return t, nil
	}
	about := field(strings.ToLower(w.head))
	s, ok := about.sort()
	if !ok || about == anyWord {
		none := func(next string) (term, *TermError) {
			return term{}, &TermError{Term: w.shown, Why: "there is no such field", Next: next, noField: true}
		}
		all := "the fields are " + strings.Join(fieldNames(), " ") + "; put a text with signs in quotes"
		if near := meant(w.head); near != anyWord {
			sign, value := "", ""
			if w.not {
				sign = "-"
			}
			if w.value != "" || w.quoted { // else it is still to come
				value = shownTerm(quote(w.value, false))
			}
			return none("is " + sign + string(near) + w.op + value + " meant? Else " + all)
		}
		return none(all)
	}
	if w.value == "" && (!w.quoted || s != byWords || w.op != "=") {
		return fail("not complete", "write it like %s", about.example())
	}
	t := term{not: w.not, about: about}
	switch s {
	case byValue:
		return t.readValue(w)
	case byDate:
		return t.readDate(w)
	case byList:
		return t.readList(w)
	}
	if w.op != ":" && w.op != "=" {
		return fail("it is a word and no quantity", "write it like %s", about.example())
	}
	t.word, t.exact = strings.ToLower(w.value), w.op == "="
	t.text = string(about) + w.op + quote(t.word, false)
	return t, nil
}

// fieldNames are all of them, as somebody would look them up.
func fieldNames() []string {
	var out []string
	for _, f := range []field{
		onAlloy, onMelt, onBar, onTag, onRig, onKind, onOutcome, onStock, onRecord, onSource, onState, onCounts, onIs,
		onStrength, onAtLeast, onForce, onStress, onDiameter, onElong, onSince, onUntil, onDay,
	} {
		out = append(out, string(f))
	}
	return out
}

// example is a term of a field that can be understood.
func (f field) example() string {
	switch s, _ := f.sort(); s {
	case byList:
		return string(f) + ":" + strings.Join(f.list(), " or "+string(f)+":")
	case byDate:
		return string(f) + ":2026-11-25 or " + string(f) + ":2026-11"
	case byValue:
		one, other := "40ksi", "45ksi"
		switch f {
		case onForce:
			one, other = "8000lbf", "36kN"
		case onDiameter:
			one, other = "12.4mm", "12.6mm"
		case onElong:
			one, other = "5%", "10%"
		}
		if f == onForce {
			return "force>8000lbf or force:30kN..36kN"
		}
		return fmt.Sprintf("%s>%s or %s:%s..%s", f, one, f, one, other)
	}
	switch f {
	case onAlloy:
		return "alloy:C905"
	case onTag:
		return "tag:wet-sand"
	case onKind:
		return "kind:tension"
	case onOutcome:
		return "outcome:broken"
	}
	return string(f) + ":M1"
}

// readList reads one of a few words, or the beginning of just one.
func (t term) readList(w written) (term, *TermError) {
	word := strings.ToLower(w.value)
	if t.about == onState && word == "whole" { // as a check says of it
		word = string(Whole)
	}
	if t.about == onCounts && len(word) > 1 && strings.HasPrefix("remarks", strings.TrimSuffix(word, ".")) { // as a list has it
		word = strength.CountsWithRemarks
	}
	var found []string
	for _, one := range t.about.list() {
		if one == word {
			found = []string{one}
			break
		}
		if strings.HasPrefix(one, word) {
			found = append(found, one)
		}
	}
	if len(found) != 1 || w.op != ":" {
		return term{}, &TermError{Term: w.shown, Why: "it is one of a few words", Next: "write " + t.about.example()}
	}
	t.word = found[0]
	t.text = string(t.about) + ":" + t.word
	return t, nil
}

// readValue reads a bound, or a range with both ends in it; either may be left out.
func (t term) readValue(w written) (term, *TermError) {
	fail := func(err error) (term, *TermError) {
		how := "write it like "
		if errors.Is(err, errNoUnit) { // with a blank before it the unit is a word of its own
			how = "write it right behind the number, like "
		}
		return term{}, &TermError{Term: w.shown, Why: err.Error(), Next: how + t.about.example()}
	}
	low, high := w.value, ""
	switch w.op {
	case ":":
		var both bool
		if low, high, both = strings.Cut(w.value, ".."); !both {
			return fail(errors.New("a range has two dots"))
		}
		if unitless(low) { // 40..45ksi
			low += strings.TrimLeft(high, " +-.0123456789eE")
		}
	case "=":
		return fail(errors.New("a quantity is asked for as a bound or a range"))
	case "<", "<=":
		low, high = "", w.value
	}
	var lowText, highText string
	var err error
	if t.hasLow = strings.TrimSpace(low) != ""; t.hasLow {
		if t.low, lowText, err = t.about.quantity(low); err != nil {
			return fail(err)
		}
	}
	if t.hasHigh = strings.TrimSpace(high) != ""; t.hasHigh {
		if t.high, highText, err = t.about.quantity(high); err != nil {
			return fail(err)
		}
	}
	switch {
	case !t.hasLow && !t.hasHigh:
		return fail(errors.New("not complete"))
	case t.hasLow && t.hasHigh && t.low > t.high:
		return fail(fmt.Errorf("%s is more than %s", lowText, highText))
	}
	t.overLow, t.overHigh = w.op == ">", w.op == "<"
	t.text = string(t.about) + w.op + quote(lowText+highText, false)
	if w.op == ":" {
		t.text = string(t.about) + ":" + quote(lowText+".."+highText, false)
	}
	return t, nil
}

// errNoUnit is also what si says of a number alone.
var errNoUnit = errors.New("no unit")

// unitless says that a text is a number alone.
func unitless(s string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	return err == nil
}

// quantity reads a value of a field, in SI, and gives its text without blanks.
func (f field) quantity(text string) (v float64, plain string, err error) {
	plain = strings.Join(strings.Fields(text), "")
	read := func(s string) (float64, error) {
		switch f {
		case onForce:
			v, err := si.ParseForce(s)
			return float64(v), err
		case onDiameter:
			v, err := si.ParseLength(s)
			return float64(v), err
		case onElong:
			return percent(s)
		}
		v, err := si.ParseStress(s)
		return float64(v), err
	}
	if v, err = read(text); err != nil {
		return 0, "", shorter(err)
	}
	if again, err := read(plain); err != nil || again != v {
		return 0, "", fmt.Errorf("%q is no one number", text)
	}
	return v, plain, nil
}

// shorter leaves the list of units out: the example has some.
func shorter(err error) error {
	if u, ok := errors.AsType[*si.UnitError](err); ok {
		if u.Why == errNoUnit.Error() {
			return errNoUnit
		}
		return errors.New(u.Why)
	}
	return err
}

// percent reads an elongation, such as 5%.
func percent(s string) (float64, error) {
	number, has := strings.CutSuffix(strings.TrimSpace(s), "%")
	number = strings.TrimSpace(number)
	v, err := strconv.ParseFloat(number, 64)
	switch {
	case err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(number, "xX_"):
		return 0, errors.New("no number")
	case !has:
		return 0, errNoUnit
	}
	return v / 100, nil
}

// readDate reads a day, a month or a year, which is meant as a whole, or a minute.
func (t term) readDate(w written) (term, *TermError) {
	if w.op != ":" {
		return term{}, &TermError{Term: w.shown, Why: "a date has a colon before it", Next: "write it like " + t.about.example()}
	}
	for _, l := range []struct {
		layout, plain    string // as it may be written, and as String writes it where that differs
		year, month, day int
		span             time.Duration
	}{
		{layout: "2006", year: 1},
		{layout: "2006-01", month: 1},
		{layout: "2006-01-02", day: 1},
		{layout: "2006-01-02T15:04", span: time.Minute},
		{layout: "2006-01-02 15:04", span: time.Minute, plain: "2006-01-02T15:04"},
	} {
		at, err := time.ParseInLocation(l.layout, strings.TrimFunc(w.value, unicode.IsSpace), time.Local)
		if err != nil || at.Year() < 1 {
			continue
		}
		next := at.AddDate(l.year, l.month, l.day).Add(l.span)
		if t.about != onUntil {
			t.from = at
		}
		if t.about != onSince {
			t.before = next
		}
		t.text = string(t.about) + ":" + at.Format(cmp.Or(l.plain, l.layout))
		return t, nil
	}
	return term{}, &TermError{Term: w.shown, Why: "it is no date", Next: "write it like " + t.about.example()}
}
