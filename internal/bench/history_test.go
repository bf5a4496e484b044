package bench

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// past is a pull so long ago: its zero, its peak on the specimen, and the stock of
// a check bar.
type past struct {
	days  int
	zero  float64
	peak  si.Force
	stock string
}

// onShelf writes closed records of pulls on the example rig, none simulated. Each
// is edited before it is written.
func onShelf(t *testing.T, dir string, edit func(h *record.Head), pulls ...past) {
	t.Helper()
	for i, p := range pulls {
		h := record.Head{
			Program: "draghand test", Started: time.Now().Add(-time.Duration(p.days)*24*time.Hour - time.Hour).UTC(), Kind: pull.Tension,
			Rig: exampleRig(t), Source: "serial:board",
			Specimen: specimen.Specimen{ID: fmt.Sprint("C", i), Melt: "old", Diameters: []si.Length{12.5 * si.Millimetre}, Stock: p.stock},
		}
		if edit != nil {
			edit(&h)
		}
		w, err := record.Create(dir, h)
		if err != nil {
			t.Fatal(err)
		}
		s := pull.State{
			Kind: h.Kind, Phase: pull.Broken, Outcome: pull.Broken, LoadedAt: time.Second, Zero: pull.Zero{Set: true, Quality: "quiet", Raw: p.zero},
			Peak: pull.Point{T: time.Minute, Raw: 2000, Specimen: p.peak},
		}
		c := record.ClosingFrom(s, record.ByBreak)
		c.Ended = h.Started
		if err := w.Close(c); err != nil {
			t.Fatal(err)
		}
	}
}

// inMetric shows bar and newton.
func inMetric(o *Options) { u := si.Metric; o.Units = &u }

// six are check bars that make limits: see TestLines of the shelf. By hand, mean of
// the first five 36,900 N, s 332.4 N.
func six(last si.Force) (out []past) {
	for i, f := range []si.Force{36800, 37200, 36600, 37000, 36900, last} {
		out = append(out, past{9 + 10*(5-i), 819, f, "drawn A"})
	}
	return out
}

// The bench tells how the newest check bar of its rig stands, and warns where it is
// out of control.
func TestCheckBarOnTheBench(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		edit  func(h *record.Head)
		pulls []past
		want  string
		warns bool
	}{
		"none":       {nil, []past{{1, 819, 37000, ""}}, "no check bar of this rig yet", false},
		"in":         {nil, six(37564), "last check bar 9 days ago, +1.8 %, in control (drawn A)", false}, // 664/36,900; 2.0 s
		"out":        {nil, six(38200), "last check bar 9 days ago, +3.5 %, OUT OF CONTROL: beyond the limits, above (drawn A)", true},
		"another in": {nil, append(six(38200), past{2, 819, 30000, "drawn B"}), "last check bar 2 days ago, no limits yet: 1 of 5 bars (drawn B)", true},
		"simulated":  {func(h *record.Head) { h.Specimen.Simulated = true }, six(38200), "no check bar of this rig yet", false},
		"other rig":  {func(h *record.Head) { r := *h.Rig; r.Name = "other"; h.Rig = &r }, six(38200), "no check bar of this rig yet", false},
		"far side":   {func(h *record.Head) { h.Specimen.Side = specimen.Far }, six(38200), "no check bar of this rig yet", false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				d := &board{raw: slack}
				b := withBoard(t, d, nil, func(b *table, o *Options) { inMetric(o); onShelf(t, o.Shelf, c.edit, c.pulls...) })
				await(t, "it is told", func() bool { return b.View().Check == c.want })
				warns := slices.ContainsFunc(b.View().Cautions, func(s string) bool { return strings.Contains(s, "OUT OF CONTROL") })
				if warns != c.warns {
					t.Errorf("warns %v: %q", warns, b.View().Cautions)
				}
			})
		})
	}
}

// A bar that comes to the shelf, and what is measured on one later, is told without
// another start.
func TestCheckBarComes(t *testing.T) {
	t.Parallel()
	d := &board{raw: slack}
	b := withBoard(t, d, nil, func(b *table, o *Options) { inMetric(o); onShelf(t, o.Shelf, nil, six(37000)[:5]...) })
	await(t, "five are told", func() bool { return strings.Contains(b.View().Check, "judged by these 5") })
	onShelf(t, b.shelf, nil, six(38200)[5:]...)
	await(t, "the sixth is told", func() bool { return strings.Contains(b.View().Check, "OUT OF CONTROL") })
	all, err := os.ReadDir(b.shelf)
	if err != nil {
		t.Fatal(err)
	}
	p := filepath.Join(b.shelf, all[len(all)-1].Name(), record.HeadFile)
	text, err := os.ReadFile(p)
	if err != nil {
		t.Fatal(err)
	}
	grip := strings.Replace(string(text), `"closing":`, `"finished": [{"at": "2026-11-25T12:00:00Z", "where": "grip"}], "closing":`, 1)
	if err := os.WriteFile(p, []byte(grip), 0o644); err != nil {
		t.Fatal(err)
	}
	await(t, "it broke in the grip and counts no more", func() bool { return strings.Contains(b.View().Check, "judged by these 5") })
}

// The zero now against those of earlier pulls. By hand, a count is 5 V/4096/250 Ω/16
// mA of 700 bar, 0.213623 bar; the board's zero is 819.5.
func TestZeroDrift(t *testing.T) {
	t.Parallel()
	creeping := func(from, step float64) (out []past) { // twelve pulls, five days apart, the last one day ago
		for i := range 12 {
			out = append(out, past{5*(11-i) + 1, from + step*float64(i), 37000, ""})
		}
		return out
	}
	sensor := func(h *record.Head) {
		r := *h.Rig
		r.Sensor.Accuracy *= 2
		h.Rig = &r
	}
	for name, c := range map[string]struct {
		edit    func(h *record.Head)
		pulls   []past
		want    string
		caution string
	}{
		"none":     {nil, nil, "", ""},
		"one":      {nil, []past{{3, 818, 37000, ""}}, "+0.32 bar from the last pull", ""},                                                                                      // 1.5 counts
		"still":    {nil, []past{{9, 820, 37000, ""}, {3, 819, 37000, ""}, {1, 820, 37000, ""}}, "-0.11 bar from the last pull, -0.11 bar over 3 pulls in 9 days", ""},          // -0.5
		"creeps":   {nil, creeping(807, 1), "+0.32 bar from the last pull, +2.67 bar over 12 pulls in 56 days", "the zero drifts steadily: +2.67 bar over 12 pulls in 56 days"}, // 12.5 counts, 0.38 %
		"a little": {nil, creeping(813.5, 0.5), "+0.11 bar from the last pull, +1.28 bar over 12 pulls in 56 days", ""},                                                         // 0.18 % of the range
		"far":      {nil, []past{{40, 785, 37000, ""}, {20, 800, 37000, ""}, {2, 810, 37000, ""}}, "+2.03 bar from the last pull, +7.37 bar over 3 pulls in 40 days", "the zero has moved by +7.37 bar over 3 pulls in 40 days, more than 1 % of the sensor's range"},
		"old":      {nil, []past{{120, 785, 37000, ""}, {2, 819, 37000, ""}}, "+0.11 bar from the last pull", ""},
		"sensor":   {sensor, []past{{2, 812, 37000, ""}}, "", ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				d := &board{raw: slack, fine: true}
				b := withBoard(t, d, nil, func(b *table, o *Options) { inMetric(o); onShelf(t, o.Shelf, c.edit, c.pulls...) })
				await(t, "there is a zero, and the shelf was read", func() bool {
					v := b.View()
					return v.Look != nil && v.Look.State.Zero.Set && v.Check != ""
				})
				v := b.View()
				if v.ZeroDrift != c.want {
					t.Errorf("%q, want %q", v.ZeroDrift, c.want)
				}
				told := slices.ContainsFunc(v.Cautions, func(s string) bool { return strings.HasPrefix(s, "the zero") })
				if told != (c.caution != "") || told && !slices.ContainsFunc(v.Cautions, func(s string) bool { return strings.HasPrefix(s, c.caution) }) {
					t.Errorf("cautions %q, want %q", v.Cautions, c.caution)
				}
			})
		})
	}
}

// Of whole counts the zero is the mean, however many there were of each, and the drift
// tells it: nothing is rounded but what is shown.
func TestZeroDriftOfWholeCounts(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := withBoard(t, &board{raw: slack}, nil, func(b *table, o *Options) { inMetric(o); onShelf(t, o.Shelf, nil, past{3, 810, 37000, ""}) })
		await(t, "there is a zero, and the shelf was read", func() bool {
			v := b.View()
			return v.Look != nil && v.Look.State.Zero.Set && v.Check != ""
		})
		v := b.View()
		zero := v.Look.State.Zero.Raw
		var told float64
		if _, err := fmt.Sscanf(v.ZeroDrift, "%f bar from the last pull", &told); err != nil {
			t.Fatalf("%q: %v", v.ZeroDrift, err)
		}
		if want := 0.213623 * (zero - 810); math.Abs(told-want) > 0.0051 {
			t.Errorf("%q for a zero of %g counts, want %.3f bar", v.ZeroDrift, zero, want)
		}
		// Five readings are the fewest of a zero: three of one kind, two of the other.
		if math.Abs(zero-(slack+0.5)) > 0.1+1e-9 {
			t.Errorf("the zero of %d and %d is %g", slack, slack+1, zero)
		}
	})
}

// That a bar is a check bar stays for the next and is told; it does not for a bar of
// another melt, unless the person says so.
func TestStockOfTheNextBar(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := withBoard(t, &board{raw: slack}, nil, nil)
		await(t, "there is a rig and its history", func() bool { return b.View().Check != "" })
		stock := func() string { return field(t, b.View().Fields, FieldStock).Text }
		kept := func() bool {
			return slices.ContainsFunc(b.View().Cautions, func(s string) bool { return strings.Contains(s, "counts as a check bar of drawn A") })
		}
		set(t, b, FieldStock, "drawn A")
		set(t, b, FieldMelt, "stock A")
		if stock() != "drawn A" || kept() {
			t.Errorf("it goes though it was said of this bar: %q, %v", stock(), kept())
		}
		b.NextBar()
		if stock() != "drawn A" || !kept() {
			t.Errorf("the next bar: %q, told %v", stock(), kept())
		}
		set(t, b, FieldStock, "drawn A")
		if kept() {
			t.Error("it is told though it was said again")
		}
		set(t, b, FieldMelt, "M2")
		if stock() != "drawn A" {
			t.Error("it goes though it was said of this bar")
		}
		b.NextBar()
		set(t, b, FieldMelt, "M2") // the same
		if stock() != "drawn A" {
			t.Error("it goes with the same melt")
		}
		set(t, b, FieldMelt, "M3")
		if stock() != "" || kept() {
			t.Errorf("a bar of another melt: %q, told %v", stock(), kept())
		}
	})
}

// The field takes a name, tidies it and refuses one that is too long.
func TestStockField(t *testing.T) {
	f := form{texts: map[FieldID]string{FieldStock: "drawn   A"}}
	fields, s := f.read()
	if got := field(t, fields, FieldStock); got.Fault != "" || got.Read != "drawn A" || s.Bar.Stock != "drawn A" || fields[len(fields)-1].ID != FieldStock {
		t.Errorf("%+v, %q", got, s.Bar.Stock)
	}
	f.texts[FieldStock] = strings.Repeat("x", specimen.MaxTag+1)
	fields, s = f.read()
	if got := field(t, fields, FieldStock); !strings.Contains(got.Fault, "longer than 64 bytes") || s.Bar.Stock != "" {
		t.Errorf("%+v, %q", got, s.Bar.Stock)
	}
}
