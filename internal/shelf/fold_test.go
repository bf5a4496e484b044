package shelf

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// A filter takes the same of entries whose text is folded as of those it looks into
// field by field.
func TestFoldTakesTheSame(t *testing.T) {
	takes := 0
	for text := range foldCases() {
		f, _ := ParseFilter(text)
		for _, e := range oddBars() {
			if sameFolded(t, f, e) {
				takes++
			}
		}
	}
	if takes < 50 {
		t.Errorf("only %d cases take anything: they compare little", takes)
	}
}

func foldCases() map[string]bool {
	out := map[string]bool{}
	for _, s := range []string{
		"m1", "m1-3", "3", "äl", "ÄLÜ-", "wet", "sand", "sandw", "wet sand", `"wet sand"`, `"sand 1150c"`, "1150c", "\u0130st", "i\u0307st", "\u2126", "ω",
		"closed", "broken", "damaged", "shed", "zz-damaged", "\ufffd", "c90500wet", "2026-01-31t", "-", `"-"`, "-3", `"-3"`, "tens", "ttyacm", "drawn",
	} {
		out[s] = true
		for _, f := range fieldNames() {
			for _, op := range []string{":", "="} {
				out[f+op+s], out["-"+f+op+s] = true, true
			}
		}
	}
	for _, s := range []string{`tag=""`, `-tag=""`, `alloy=""`, `melt=""`, `bar=""`, `stock=""`, `rig=""`, "on:2026", "since:2026-02 m", "until:2026-02", "bar=m1-3 tag=1150c"} {
		out[s] = true
	}
	return out
}

// oddBars are bars and what their texts could go wrong by.
func oddBars() map[string]Entry {
	all := bars()
	odd := func(edit func(*Entry)) Entry {
		e := bars()["a"]
		edit(&e)
		return e
	}
	all["no melt"] = odd(func(e *Entry) { e.Specimen.Melt = "" })
	all["no number"] = odd(func(e *Entry) { e.Specimen.ID = "" })
	all["neither"] = odd(func(e *Entry) { e.Specimen.ID, e.Specimen.Melt, e.Specimen.Alloy = "", "", "" })
	all["hyphens"] = odd(func(e *Entry) { e.Specimen.ID, e.Specimen.Melt = "1-3", "M1-" })
	all["empty tag"] = odd(func(e *Entry) { e.Specimen.Tags = []string{""} })
	all["tags"] = odd(func(e *Entry) { e.Specimen.Tags = []string{"", "SAND", "Wet Sand", ""} })
	all["no UTF-8"] = odd(func(e *Entry) {
		e.Specimen.Alloy, e.Specimen.Tags, e.RigName = "C\xff\xff90500", []string{"\xffwet\xff", "sand\xe2\x84"}, "\xff"
	})
	all["longer in lower case"] = odd(func(e *Entry) {
		e.Specimen.Melt, e.Specimen.ID, e.Specimen.Alloy = "\u0130ST", "\u2126\u023a3", strings.Repeat("\u023a", 80)
	})
	return all
}

// sameFolded says whether a filter takes an entry, either way.
func sameFolded(t testing.TB, f Filter, e Entry) bool {
	t.Helper()
	e.Words = nil
	folded := []Entry{e, e} // the second has its text behind another's
	Fold(folded)
	want := f.Takes(&e)
	for i := range folded {
		if got := f.Takes(&folded[i]); got != want {
			t.Fatalf("%q takes %+v: %v folded, %v field by field", f.String(), e, got, want)
		}
	}
	return want
}

func FuzzFold(f *testing.F) {
	f.Add("tag=wet m1-3", "M1", "3", "wet", "C905", "Shed")
	f.Add(`bar=" " -tag:\xff`, "\xff", "", "\u0130", "\xffa", "a\xff")
	f.Add(`tag="" alloy="" "-"`, "", "", "", "", "")
	f.Fuzz(func(t *testing.T, text, melt, id, tag, alloy, rig string) {
		one, _ := ParseFilter(text)
		e := bars()["a"]
		e.Specimen.Melt, e.Specimen.ID, e.Specimen.Alloy, e.RigName = melt, id, alloy, rig
		e.Specimen.Tags = strings.Split(tag, ",")
		e.bound()
		sameFolded(t, one, e)
	})
}

// longNames are ten thousand bars whose texts are sixty signs each, none of them ASCII.
func longNames() []Entry {
	all := tenThousand()
	for i := range all {
		long := func(of string) string {
			return string([]rune(fmt.Sprintf("%s%05d%s", of, i*7919%99991, strings.Repeat("Ünïcödé-Штамп-бронза ", 4)))[:60])
		}
		e := &all[i]
		e.Name, e.RigName, e.Source = e.Name+long("ß"), long("Rüttler"), long("ü")
		b := &e.Specimen
		b.Melt, b.ID, b.Alloy, b.Tags, b.Stock = long("Schmelze"), long("Stäbe"), long("Züge"), []string{long("naß"), long("Öfen"), long("é")}, ""
	}
	return all
}

// extremes are filters that take the longest.
func extremes() map[string]string {
	each := func(of func(i int) string) string {
		var all []string
		for i := range mostTerms {
			all = append(all, of(i))
		}
		return strings.Join(all, " ")
	}
	other := []rune("ёжикъщюяэыйцукенгшщзхфывапролджэя")
	return map[string]string{
		"a word":          "штампы",
		"a word in ASCII": "zzz",
		"minus":           each(func(i int) string { return fmt.Sprintf("-%c%d", other[i], i) }),
		"minus in ASCII":  each(func(i int) string { return fmt.Sprintf("-zq%dnot", i) }),
		"there":           each(func(int) string { return "closed" }),
		"fields":          each(func(i int) string { return fmt.Sprintf("-alloy:цинк%d", i) }),
		"quantities":      each(func(int) string { return "diameter>1mm" }),
	}
}

// Filters that take the longest take at most a key's time, 16 ms, or Work says before
// that they may take longer. The time is held to three times that: the machine is shared.
func TestFilterExtremes(t *testing.T) {
	behind := 0
	for name, all := range map[string][]Entry{"usual": tenThousand(), "long": longNames()} {
		n := Fold(all)
		t.Logf("%s: %d bytes of words", name, n)
		for what, text := range extremes() {
			f, err := ParseFilter(text)
			must(t, err)
			if f.Work(len(all), n) > AtOnce {
				behind++
				continue
			}
			if raceOn {
				takeAll(f, all)
			} else if best := leastTime(3*16*time.Millisecond, func() { takeAll(f, all) }); best > 3*16*time.Millisecond {
				t.Errorf("%s, %s: %v", name, what, best)
			}
			if allocs := testing.AllocsPerRun(5, func() { takeAll(f, all) }); allocs > 0 {
				t.Errorf("%s, %s: allocates %v times", name, what, allocs)
			}
		}
	}
	one, _ := ParseFilter("m1 alloy:c905 strength>40ksi since:2026 -is:simulated")
	if behind == 0 || one.Work(10_000, 2_000_000) > AtOnce {
		t.Errorf("%d extremes are behind; a usual filter is %d", behind, one.Work(10_000, 2_000_000))
	}
}

func BenchmarkFilterExtremes(b *testing.B) {
	for name, all := range map[string][]Entry{"usual": tenThousand(), "long": longNames()} {
		n := Fold(all)
		for what, text := range extremes() {
			f, err := ParseFilter(text)
			if err != nil {
				b.Fatal(err)
			}
			b.Run(name+"/"+what, func(b *testing.B) {
				b.ReportMetric(float64(f.Work(len(all), n))/1e6, "work/M")
				for b.Loop() {
					takeAll(f, all)
				}
			})
		}
	}
}

func BenchmarkFold(b *testing.B) {
	for name, all := range map[string][]Entry{"usual": tenThousand(), "long": longNames()} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				b.ReportMetric(float64(Fold(all))/1e6, "MB")
			}
		})
	}
}
