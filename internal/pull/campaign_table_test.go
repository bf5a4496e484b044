package pull_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
)

// campaignClasses are the upper ends of the classes of noise, as fractions of the
// peak.
var campaignClasses = [...]float64{1e-4, 1e-3, 0.01, 0.02, 0.04, campaignNoiseHigh}

func classOf(noise float64) int {
	for i, c := range campaignClasses {
		if noise <= c {
			return i
		}
	}
	return len(campaignClasses) - 1
}

// tally is what a class of pulls comes to.
type tally struct {
	pulls, readings                           int
	breaks, missedBreaks                      int
	falseBreaks, provisional                  int
	outsideSlips                              int
	letOffs, letOffCalled, quick, quickCalled int
	overs, warned                             int
	missedByReading                           int
	missedByTruth                             int // pulls
	nuisance                                  int // pulls
	spikeStops, spikeTrips, spikePairs        int
	gave, gaveTold, plain, gaveFalse          int // pulls
	unzeroed                                  int
	breakOff                                  []time.Duration
	peakOff, peakRel, rawOff, fairOff         []float64
	warnedFor                                 []time.Duration
	outcomes                                  map[ending]map[pull.Phase]int
}

func (a *tally) add(s *scenario, sc *score) {
	a.pulls++
	a.readings += sc.readings
	if sc.broke {
		a.breaks++
	}
	if sc.missedBreak {
		a.missedBreaks++
	}
	a.falseBreaks += sc.falseBreaks - sc.letOffCalled
	a.provisional += sc.provisional
	a.outsideSlips += sc.provisional - sc.slipsTaken
	a.letOffs += sc.letOffs
	a.letOffCalled += sc.letOffCalled
	a.quick += sc.quick
	a.quickCalled += sc.quickCalled
	a.missedByReading += sc.missedByReading
	if sc.missedByTruth > 0 {
		a.missedByTruth++
	}
	if sc.nuisance > 0 {
		a.nuisance++
	}
	a.spikeStops += sc.spikeStops
	a.spikeTrips += sc.spikeTrips
	a.spikePairs += sc.spikePairs
	if sc.over {
		a.overs++
		if sc.warned {
			a.warned++
			a.warnedFor = append(a.warnedFor, sc.warnedFor)
		}
	}
	if sc.unzeroed {
		a.unzeroed++
	}
	if sc.timed {
		a.breakOff = append(a.breakOff, sc.breakOff)
	}
	a.peakOff = append(a.peakOff, sc.peakOff)
	a.peakRel = append(a.peakRel, 100*sc.peakRel)
	a.rawOff = append(a.rawOff, sc.rawOff)
	a.fairOff = append(a.fairOff, sc.fairOff)
	switch {
	case !sc.plain, s.giveAt > 0 && !sc.gave:
	case sc.gave:
		a.gave++
		if sc.givingTold {
			a.gaveTold++
		}
	default:
		a.plain++
		if sc.givingTold {
			a.gaveFalse++
		}
	}
	if a.outcomes == nil {
		a.outcomes = map[ending]map[pull.Phase]int{}
	}
	if a.outcomes[s.end] == nil {
		a.outcomes[s.end] = map[pull.Phase]int{}
	}
	a.outcomes[s.end][sc.outcome]++
}

// quantile is the value under which a fraction lies.
func quantile[T time.Duration | float64](v []T, q float64) T {
	if len(v) == 0 {
		return 0
	}
	v = slices.Clone(v)
	slices.Sort(v)
	return v[min(int(q*float64(len(v))), len(v)-1)]
}

func ms(d time.Duration) string { return fmt.Sprintf("%.1f", float64(d)/float64(time.Millisecond)) }

// table is the campaign in Markdown.
func (c *campaign) table() string {
	var b strings.Builder
	all := &c.tables[len(c.tables)-1]
	kind := "pulls"
	if c.script {
		kind = "scripts of the simulator"
	}
	fmt.Fprintf(&b, "**%d %s at %g Hz**, %d readings.\n\n", c.pulls, kind, c.rate, all.readings)
	names := []string{}
	low := campaignNoiseLow
	for _, high := range campaignClasses {
		names = append(names, fmt.Sprintf("%.3g–%.3g %%", 100*low, 100*high))
		low = high
	}
	names = append(names, "all")
	row := func(name string, f func(*tally) string) {
		b.WriteString("| " + name)
		for i := range c.tables {
			b.WriteString(" | " + f(&c.tables[i]))
		}
		b.WriteString(" |\n")
	}
	fmt.Fprintf(&b, "| noise, SD of the peak | %s |\n|---|%s\n", strings.Join(names, " | "), strings.Repeat("--:|", len(names)))
	count := func(name string, f func(*tally) int) { row(name, func(a *tally) string { return fmt.Sprint(f(a)) }) }
	count("pulls", func(a *tally) int { return a.pulls })
	count("… without a zero", func(a *tally) int { return a.unzeroed })
	count("true breaks", func(a *tally) int { return a.breaks })
	count("**missed breaks**", func(a *tally) int { return a.missedBreaks })
	count("breaks found, over 50 ms off", func(a *tally) int {
		n := 0
		for _, d := range a.breakOff {
			if d < -50*time.Millisecond || d > 50*time.Millisecond {
				n++
			}
		}
		return n
	})
	count("**false breaks that stay**, but for let-offs", func(a *tally) int { return a.falseBreaks })
	count("breaks taken back, in a true slip", func(a *tally) int { return a.provisional - a.outsideSlips })
	count("breaks taken back, elsewhere", func(a *tally) int { return a.outsideSlips })
	count("true let-offs", func(a *tally) int { return a.letOffs })
	count("**let-offs called a break**", func(a *tally) int { return a.letOffCalled })
	row("… of those that take under 0.6 s", func(a *tally) string { return fmt.Sprintf("%d of %d", a.quickCalled, a.quick) })
	count("pulls truly over a limit", func(a *tally) int { return a.overs })
	count("**stops missed, by reading**", func(a *tally) int { return a.missedByReading })
	count("**stops missed, by truth**", func(a *tally) int { return a.missedByTruth })
	row("warned before the limit", func(a *tally) string {
		if a.overs == 0 {
			return "–"
		}
		return fmt.Sprintf("%.2f %%", 100*float64(a.warned)/float64(a.overs))
	})
	row("… s before, 1 / 50 % of pulls", func(a *tally) string {
		return fmt.Sprintf("%.2f / %.2f", quantile(a.warnedFor, 0.01).Seconds(), quantile(a.warnedFor, 0.5).Seconds())
	})
	count("pulls with a nuisance stop", func(a *tally) int { return a.nuisance })
	count("lone spikes told as single", func(a *tally) int { return a.spikeStops })
	count("spikes while the stop of one before stood", func(a *tally) int { return a.spikePairs })
	count("lone spikes that tripped", func(a *tally) int { return a.spikeTrips })
	row("something else gave, and was told", func(a *tally) string {
		return fmt.Sprintf("%d of %d", a.gaveTold, a.gave)
	})
	row("nothing else gave, and was told", func(a *tally) string {
		return fmt.Sprintf("%d of %d", a.gaveFalse, a.plain)
	})
	row("break told − true, ms: 1 / 50 / 99 %", func(a *tally) string {
		return ms(quantile(a.breakOff, 0.01)) + " / " + ms(quantile(a.breakOff, 0.5)) + " / " + ms(quantile(a.breakOff, 0.99))
	})
	row("peak − true, SDs: 1 / 50 / 99 %", func(a *tally) string {
		return fmt.Sprintf("%.2f / %.2f / %.2f", quantile(a.peakOff, 0.01), quantile(a.peakOff, 0.5), quantile(a.peakOff, 0.99))
	})
	row("… % of the peak: 1 / 50 / 99 %", func(a *tally) string {
		return fmt.Sprintf("%.3f / %.3f / %.3f", quantile(a.peakRel, 0.01), quantile(a.peakRel, 0.5), quantile(a.peakRel, 0.99))
	})
	row("… SDs, less its expected bias", func(a *tally) string {
		return fmt.Sprintf("%.2f / %.2f / %.2f", quantile(a.fairOff, 0.01), quantile(a.fairOff, 0.5), quantile(a.fairOff, 0.99))
	})
	row("raw peak − true, SDs: 1 / 50 / 99 %", func(a *tally) string {
		return fmt.Sprintf("%.2f / %.2f / %.2f", quantile(a.rawOff, 0.01), quantile(a.rawOff, 0.5), quantile(a.rawOff, 0.99))
	})
	b.WriteString("\nTrue end against outcome, all noises:\n\n")
	outcomes := []pull.Phase{pull.Broken, pull.LetOff, pull.Faded, pull.Unclear, pull.Ended}
	b.WriteString("| true end")
	for _, o := range outcomes {
		b.WriteString(" | " + string(o))
	}
	b.WriteString(" |\n|---|" + strings.Repeat("--:|", len(outcomes)) + "\n")
	for _, e := range []ending{endBreak, endLetOff, endFade} {
		b.WriteString("| " + string(e))
		for _, o := range outcomes {
			fmt.Fprintf(&b, " | %d", all.outcomes[e][o])
		}
		b.WriteString(" |\n")
	}
	return b.String()
}

// writeBlock puts figures between the two marks of their name in
// docs/campaign.md.
func writeBlock(t *testing.T, name string, fill func(*strings.Builder)) {
	t.Helper()
	path := filepath.Join("..", "..", "docs", "campaign.md")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	begin, end := "<!-- figures: "+name+" -->\n", "<!-- end: "+name+" -->"
	head, rest, ok := strings.Cut(string(text), begin)
	_, tail, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the figures %q", path, name)
	}
	var b strings.Builder
	fill(&b)
	if err := os.WriteFile(path, []byte(head+begin+"\n"+strings.TrimSpace(b.String())+"\n\n"+end+tail), 0o644); err != nil {
		t.Fatal(err)
	}
}
