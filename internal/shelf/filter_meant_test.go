package shelf

import (
	"strings"
	"testing"
)

// The words that the screens show of whether a pull counts do in a filter as well.
func TestFilterWordsShown(t *testing.T) {
	for text, want := range map[string]string{
		"counts:open": "b", "counts:unknown": "b", "counts:yes": "a d", "counts:y": "a d", "-counts:no": "a b d",
		"counts:remarks": "r", "counts:rem": "r", "counts:rem.": "r", "counts:with-remarks": "r", "counts:w": "r",
	} {
		all := bars()
		r := all["a"]
		r.Counts = "with-remarks"
		f, err := ParseFilter(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
		}
		got := keptBy(f)
		if f.Takes(&r) && want == "r" {
			got = strings.TrimSpace(got + " r")
		}
		if got != want {
			t.Errorf("%q takes %q, want %q", text, got, want)
		}
		again, err := ParseFilter(f.String())
		if err != nil || again.String() != f.String() {
			t.Errorf("%q becomes %q, %v", f.String(), again.String(), err)
		}
	}
	// What is open is what a list shows so: a crush that nobody finished is not known.
	crush := bars()["b"]
	crush.Kind = "crush"
	f, _ := ParseFilter("counts:open")
	g, _ := ParseFilter("counts:unknown")
	if f.Takes(&crush) || !g.Takes(&crush) {
		t.Error("a crush is open")
	}
}

// An or is told, and does not turn the list empty; in quotes it is a word.
func TestFilterOr(t *testing.T) {
	for _, text := range []string{"m10 or", "or m10", "M10 OR", "m10 and"} {
		f, err := ParseFilter(text)
		if err == nil || !strings.Contains(err.Error(), "all terms must hold") {
			t.Errorf("%q: %v", text, err)
		}
		if got := keptBy(f); got != "b" {
			t.Errorf("%q takes %q", text, got)
		}
	}
	f, err := ParseFilter(`"or"`)
	if err != nil || f.String() != `"or"` {
		t.Errorf("%q, %v", f.String(), err)
	}
	if _, err := ParseFilter(f.String()); err != nil {
		t.Error(err)
	}
	if _, err := ParseFilter(`ore -"or" alloy:or`); err != nil {
		t.Error(err)
	}
}

// A field that is nearly written is named.
func TestFilterMeant(t *testing.T) {
	for text, want := range map[string]string{
		"strengh>40ksi": "strength>40ksi", "Allo:C905": "alloy:C905", "cuonts:no": "counts:no", "elong>5%": "elongation>5%",
		"tags:wet": "tag:wet", "-malt:M1": "-melt:M1", "dia>12mm": "diameter>12mm", `tga:"wet sand"`: `tag:"wet sand"`,
	} {
		_, err := ParseFilter(text)
		if err == nil || !strings.Contains(err.Error(), "is "+want+" meant?") {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	for _, text := range []string{"furnace:2", "x:1", ":x", "hardness>5"} {
		if _, err := ParseFilter(text); err == nil || strings.Contains(err.Error(), "meant?") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
