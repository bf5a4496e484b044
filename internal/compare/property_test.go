package compare_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// anyPull is one as it may come from a shelf, wrong ones too.
func anyPull(t *rapid.T, i int) compare.Pull {
	pick := func(what string, of ...string) string { return rapid.SampledFrom(of).Draw(t, what) }
	p := compare.Pull{
		Record: fmt.Sprintf("r%d", i), Dir: fmt.Sprintf("shelf/r%d", i), Melt: pick("melt", "", "M1", "M2", "M10"), Alloy: pick("alloy", "", "C90500", "C95400"),
		Kind: pull.Tension, Area: si.Area(rapid.Float64Range(0, 2e-4).Draw(t, "area")), Marked: pick("mark", "", "A", "B", "C"),
		Counts: pick("counts", "", strength.Counts, strength.CountsWithRemarks), CommonBy: pick("by", "x", "y"), RigName: "rig",
		Simulated: rapid.Bool().Draw(t, "simulated"), Started: time.Unix(int64(rapid.IntRange(0, 2).Draw(t, "start")), 0).UTC(),
	}
	p.Bar = pick("bar", "1", "2", p.Record)
	for _, tag := range []string{"dry", "wet"} {
		if rapid.Bool().Draw(t, tag) {
			p.Tags = append(p.Tags, tag)
		}
	}
	value := si.Stress(rapid.SampledFrom([]float64{300e6, 300e6, 310e6, 312e6, 5e9, 1e3, 0, math.NaN(), math.Inf(1)}).Draw(t, "strength"))
	switch rapid.IntRange(0, 4).Draw(t, "what") {
	case 0:
		p.AtLeast, p.Out = value, "it bore at least so much"
	case 1:
		p.Out, p.Strength, p.Kind = "left out", value, pull.Kind(pick("kind", "", "crush", "tension"))
	default:
		p.Strength, p.U = value, si.Stress(rapid.SampledFrom([]float64{0, 3e6}).Draw(t, "u"))
		p.Common = p.U / 2
	}
	return p
}

// Whatever the pulls: each is in just one place, nothing hangs on their order, and the
// answer is text and JSON of finite figures; a strength to count on is above nothing and
// no larger than the bound.
func TestWhateverThePulls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []compare.Pull
		for i := range rapid.IntRange(0, 14).Draw(t, "n") {
			p := anyPull(t, i)
			if i > 0 && rapid.IntRange(0, 9).Draw(t, "again") == 0 { // the same record, in another group maybe
				mark := p.Marked
				p = all[i-1]
				p.Marked = mark
			}
			all = append(all, p)
		}
		by, err := compare.ParseBy(rapid.SampledFrom([]string{"all", "melt", "alloy", "tag", "tag:wet,dry", "marks"}).Draw(t, "by"))
		if err != nil {
			t.Fatal(err)
		}
		o := compare.NewOptions()
		o.Minimum = si.Stress(rapid.SampledFrom([]float64{0, 280e6}).Draw(t, "minimum"))
		c := compare.Of(all, by, o)
		count := len(c.Outside)
		for i := range c.Groups {
			g := &c.Groups[i]
			count += len(g.Pulls) + len(g.Censored) + len(g.Left)
			for _, some := range [][]compare.Pull{g.Censored, g.Left} {
				for j := range some {
					if some[j].Out == "" {
						t.Fatalf("%s is left out for no reason", some[j].Record)
					}
				}
			}
			for j := range g.Pulls {
				if v := float64(g.Pulls[j].Strength); !(v > 0) || math.IsInf(v, 0) || g.Pulls[j].Out != "" {
					t.Fatalf("%+v counts", g.Pulls[j])
				}
			}
			if k := g.CountOn; k != nil && (k.Strength > g.Bound.At || float64(g.Bound.At) > g.Strength.Mean || k.Common < 0) {
				t.Fatalf("%+v of %+v", k, g.Strength)
			}
		}
		for i := range c.Outside {
			if c.Outside[i].Out == "" {
				t.Fatalf("%+v is outside for no reason", c.Outside[i])
			}
		}
		if count != len(all) {
			t.Fatalf("%d of %d pulls", count, len(all))
		}
		text, js := told(t, &c), ""
		if b, err := json.Marshal(c.JSON()); err != nil {
			t.Fatal(err)
		} else {
			js = string(b)
		}
		if strings.Contains(text, "NaN") || strings.Contains(text, "%!") || strings.Contains(text, "–.") {
			t.Fatal(text)
		}
		mixed := slices.Clone(all)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		again := compare.Of(mixed, by, o)
		b, err := json.Marshal(again.JSON())
		if err != nil || string(b) != js || told(t, &again) != text {
			t.Fatalf("in another order:\n%s\n%s", js, b)
		}
	})
}

// told is all words, and the dot plot within its width.
func told(t *rapid.T, c *compare.Comparison) string {
	out := ""
	for _, sys := range []si.System{si.US, si.Metric} {
		out += strings.Join(c.Lines(sys), "\n") + "\n"
		for _, l := range c.Dots(sys, 60) {
			if len([]rune(l)) > 60 {
				t.Fatalf("%q is wider than 60", l)
			}
			out += l + "\n"
		}
	}
	return out
}
