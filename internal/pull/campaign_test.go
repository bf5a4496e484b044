package pull_test

import (
	"fmt"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// campaign is a number of pulls at one rate, and what became of them.
type campaign struct {
	rate   float64
	pulls  int
	script bool // the simulator's own scripts, nothing laid over them
	took   time.Duration
	tables [len(campaignClasses) + 1]tally // the last one is of all
	faults []string
}

// run plays and judges pulls from an index on, over all processors. The result
// hangs on the indices alone, not on who took which.
func (c *campaign) run(from int) error {
	rigs, err := campaignRigs()
	if err != nil {
		return err
	}
	strength, err := strengths(rigs)
	if err != nil {
		return err
	}
	scores := make([]score, c.pulls)
	drawn := make([]scenario, c.pulls)
	faults := make([]string, c.pulls)
	var (
		next   atomic.Int64
		failed atomic.Pointer[error]
		wg     sync.WaitGroup
		begin  = time.Now()
		done   = make(chan struct{})
	)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			var tr track
			for {
				i := int(next.Add(1)) - 1
				if i >= c.pulls || failed.Load() != nil {
					return
				}
				if err := c.play(&tr, from+i, rigs, strength); err != nil {
					failed.CompareAndSwap(nil, &err)
					return
				}
				scores[i], drawn[i] = tr.judge(nil), tr.s
				if f := scores[i].faults(); f != nil {
					faults[i] = strings.Join(f, ", ") + " — " + tr.s.String()
				}
			}
		})
	}
	go func() {
		tick := time.NewTicker(time.Minute)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-tick.C:
				n := min(int(next.Load()), c.pulls)
				fmt.Fprintf(os.Stderr, "campaign at %s: %d of %d pulls after %s\n", c.name(), n, c.pulls, time.Since(begin).Round(time.Second))
			}
		}
	}()
	wg.Wait()
	close(done)
	if err := failed.Load(); err != nil {
		return *err
	}
	c.took = time.Since(begin)
	for i := range scores {
		c.tables[classOf(drawn[i].noise)].add(&drawn[i], &scores[i])
		c.tables[len(c.tables)-1].add(&drawn[i], &scores[i])
		if faults[i] != "" {
			c.faults = append(c.faults, faults[i])
		}
	}
	return nil
}

// play makes the readings of an index.
func (c *campaign) play(tr *track, index int, rigs map[int]*campaignRig, strength map[string]float64) error {
	if c.script {
		return tr.playScript(index, c.rate, rigs, strength)
	}
	return tr.play(newScenario(index, c.rate), rigs, strength)
}

func envInt(t *testing.T, name string, def int) int {
	t.Helper()
	v := os.Getenv(name)
	if v == "" {
		return def
	}
	n, err := strconv.Atoi(v)
	if err != nil || n < 0 {
		t.Fatalf("%s=%q: give a whole number", name, v)
	}
	return n
}

// The campaign: random pulls with everything in them that the rig may show,
// counted against what truly happened. docs/campaign.md tells what is drawn, what
// counts as what, and the figures of the long run.
//
//	DRAGHAND_LONG=1           100,000 pulls at 100 Hz, 1,000 at 1 kHz, 10,000 scripts
//	DRAGHAND_CAMPAIGN=N       N pulls at 100 Hz, N/30 at 1 kHz, N/10 scripts
//	DRAGHAND_CAMPAIGN_ONLY=i  the pull i alone, with all that the engine says;
//	                          DRAGHAND_CAMPAIGN_RATE=1000 for one at 1 kHz,
//	                          DRAGHAND_CAMPAIGN_SCRIPT=1 for a scripted one
//	DRAGHAND_CAMPAIGN_FAULTS=file  the pulls that miss a goal, one a line
//	DRAGHAND_CAMPAIGN_WRITE=1      the tables go into docs/campaign.md
func TestCampaign(t *testing.T) {
	if os.Getenv("DRAGHAND_CAMPAIGN_ONLY") != "" {
		onePull(t, envInt(t, "DRAGHAND_CAMPAIGN_ONLY", 0), float64(envInt(t, "DRAGHAND_CAMPAIGN_RATE", 100)))
		return
	}
	slow, fast := 300, 10
	if testing.Short() {
		slow, fast = 60, 2
	}
	if os.Getenv("DRAGHAND_LONG") != "" {
		slow, fast = 100_000, 1000
	}
	if n := envInt(t, "DRAGHAND_CAMPAIGN", 0); n > 0 {
		slow, fast = n, max(1, n/30)
	}
	var all []*campaign
	for _, c := range []*campaign{
		{rate: 100, pulls: slow}, {rate: 1000, pulls: fast}, {rate: 100, pulls: max(1, slow/10), script: true},
	} {
		if err := c.run(0); err != nil {
			t.Fatal(err)
		}
		t.Logf("\n%s", c.table())
		c.check(t)
		all = append(all, c)
	}
	if name := os.Getenv("DRAGHAND_CAMPAIGN_FAULTS"); name != "" {
		var b strings.Builder
		for _, c := range all {
			for _, f := range c.faults {
				b.WriteString(f + "\n")
			}
		}
		if err := os.WriteFile(name, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if os.Getenv("DRAGHAND_CAMPAIGN_WRITE") != "" {
		writeBlock(t, "campaign", func(b *strings.Builder) {
			for _, c := range all {
				b.WriteString(c.table() + "\n")
			}
		})
	}
}

// onePull plays one pull again and tells everything.
func onePull(t *testing.T, index int, rate float64) {
	rigs, err := campaignRigs()
	if err != nil {
		t.Fatal(err)
	}
	strength, err := strengths(rigs)
	if err != nil {
		t.Fatal(err)
	}
	var tr track
	c := campaign{rate: rate, script: os.Getenv("DRAGHAND_CAMPAIGN_SCRIPT") != ""}
	if err := c.play(&tr, index, rigs, strength); err != nil {
		t.Fatal(err)
	}
	t.Log(tr.s)
	sc := tr.judge(t.Logf)
	t.Logf("%+v", sc)
	for _, f := range sc.faults() {
		t.Error(f)
	}
}

func (c *campaign) name() string {
	if c.script {
		return fmt.Sprintf("scripts at %g Hz", c.rate)
	}
	return fmt.Sprintf("%g Hz", c.rate)
}

// check holds the campaign against its goals.
func (c *campaign) check(t *testing.T) {
	t.Helper()
	a := &c.tables[len(c.tables)-1]
	if a.missedBreaks > 0 {
		t.Errorf("%s: %d of %d breaks missed, want none", c.name(), a.missedBreaks, a.breaks)
	}
	if a.missedByReading > 0 || a.missedByTruth > 0 {
		t.Errorf("%s: stops missed at %d readings, in %d pulls by truth, want none", c.name(), a.missedByReading, a.missedByTruth)
	}
	if a.falseBreaks*10_000 >= max(c.pulls, 10_000) {
		t.Errorf("%s: %d false breaks in %d pulls, want under 1 in 10,000", c.name(), a.falseBreaks, c.pulls)
	}
	if a.letOffCalled*1000 >= max(a.letOffs, 1000) {
		t.Errorf("%s: %d of %d let-offs called a break, want under 1 in 1,000", c.name(), a.letOffCalled, a.letOffs)
	}
	for i, f := range c.faults {
		if i == 40 {
			t.Logf("... and %d more", len(c.faults)-i)
			break
		}
		t.Log(f)
	}
}
