package report

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/si"
	force "draghand/internal/trace"
)

// everyText is a comparison with one text in every place a text from outside can be.
func everyText(text string) (compare.Comparison, []*force.Trace) {
	pulls := barsOf("M", 44.1, 45.3, 43.8, 46.0, 44.9, 30.0)
	var traces []*force.Trace
	for i := range pulls {
		p := &pulls[i]
		p.Record, p.Bar, p.Melt, p.Alloy, p.Tags = text, text, text, text, []string{text}
		p.CommonBy, p.RigName, p.Marked, p.Stock = text, text, text, text
		p.Counts, p.Dir = text, fmt.Sprintf("%s%d", text, i)
		t := traceOf(*p)
		t.Record, t.Bar, t.Outcome = text, text, pull.Phase(text)
		traces = append(traces, t)
	}
	pulls[4].AtLeast, pulls[4].Strength, pulls[4].Out = pulls[4].Strength, 0, text
	pulls[3].Strength, pulls[3].Out = 0, text
	outside := compare.Unreadable(text, io.ErrUnexpectedEOF)
	c := compare.Of(append(pulls, outside), compare.By{Field: compare.ByMarked}, compare.NewOptions())
	c.Notes = append(c.Notes, text)
	return c, traces
}

// Texts from outside stay texts: the page has the tags it has without them.
func TestBatchHostileTexts(t *testing.T) {
	c, traces := everyText("word")
	want := outline(t, []byte(batchOf(t, &c, traces, options)))
	for name, text := range hostileTexts() {
		c, traces := everyText(text)
		var b strings.Builder
		if err := Batch(&b, &c, traces, options); err != nil {
			t.Fatal(err)
		}
		page := b.String()
		if got := outline(t, []byte(page)); got != want {
			t.Errorf("%s: the page has other tags", name)
		}
		if m := regexp.MustCompile(`(?i)<script|<img|</style><style`).FindString(page); m != "" {
			t.Errorf("%s: %q came through", name, m)
		}
		if i := strings.IndexFunc(page, func(r rune) bool { return r != '\n' && hidden(r) }); i >= 0 {
			t.Errorf("%s: a hidden character at %d", name, i)
		}
		if len(page) > 400_000 {
			t.Errorf("%s: a page of %d bytes", name, len(page))
		}
	}
}

// FuzzBatchTexts holds that no text from outside makes, ends or changes a tag.
func FuzzBatchTexts(f *testing.F) {
	for _, s := range []string{"x", "<b>", "\"'><svg/onload=a>", "\x00\u202e", "</style>", "{{", "&#60;", "]]>", "\xff<"} {
		f.Add(s)
	}
	c, traces := everyText("word")
	var b strings.Builder
	if err := Batch(&b, &c, traces, options); err != nil {
		f.Fatal(err)
	}
	want := outline(f, []byte(b.String()))
	f.Fuzz(func(t *testing.T, text string) {
		text = "w" + text // what is empty is in no group, or has no row
		c, traces := everyText(text)
		var b strings.Builder
		if err := Batch(&b, &c, traces, options); err != nil {
			t.Fatal(err)
		}
		if got := outline(t, []byte(b.String())); got != want {
			t.Errorf("%q gives other tags", text)
		}
	})
}

// Comparisons of nothing, of one, of very many, of bars that read alike, and traces
// that no pull makes: a page, and no figure on it that is none.
func TestBatchOdd(t *testing.T) {
	many := func(groups, each int) (out []compare.Pull) {
		for g := range groups {
			for i := range each {
				p := barsOf(fmt.Sprintf("M%d", g), 40+float64(i%17)*0.3+float64(g%3))[0]
				p.Record = fmt.Sprintf("rec-%d-%d", g, i)
				p.Dir = p.Record
				out = append(out, p)
			}
		}
		return out
	}
	bare := barsOf("M1", 44.1, 45.3, 43.8)
	for i := range bare {
		bare[i].Area, bare[i].Diameter, bare[i].U, bare[i].Expanded, bare[i].Common, bare[i].Started, bare[i].CommonBy = 0, 0, 0, 0, 0, time.Time{}, ""
	}
	wild := barsOf("M1", 1e-3, 44, 1e9)
	var traces []*force.Trace
	for i, p := range bare {
		tr := traceOf(p)
		switch i {
		case 0:
			tr.Area, tr.Peak, tr.Break = 0, 0, 0
		case 1:
			tr.Columns, tr.PeakForce = tr.Columns[:1], si.Force(math.Inf(1))
		case 2:
			tr.End, tr.Loaded, tr.Break = 0, time.Hour, time.Nanosecond
		}
		traces = append(traces, tr)
	}
	for name, pulls := range map[string][]compare.Pull{
		"none": nil, "one": barsOf("M1", 44), "two": barsOf("M1", 44, 45), "alike": barsOf("M1", 44, 44, 44, 44), "bare": bare, "wild": wild,
		"many groups": many(60, 4), "many bars": many(2, 1000),
	} {
		c := compare.Of(pulls, compare.By{Field: compare.ByMelt}, compare.NewOptions())
		page := batchOf(t, &c, traces, inUS)
		switch name {
		case "none":
			if !strings.Contains(page, "There is no pull to compare.") {
				t.Error("none: it does not say so")
			}
		case "one", "two", "alike":
			if strings.Contains(page, `class="prob"`) {
				t.Errorf("%s: a probability plot", name)
			}
		case "many groups":
			if strings.Count(page, `class="prob"`) != 2*MostGroups || !strings.Contains(page, "Of the last 20 groups there are no drawings.") || !strings.Contains(page, "20 more groups are not drawn.") {
				t.Error("many groups: what is not drawn is not told")
			}
		case "many bars":
			if strings.Count(page, "rec-1-") < 1000 || len(page) > 3_000_000 {
				t.Errorf("many bars: %d bytes", len(page))
			}
		}
	}
	c := compare.Of(bare, compare.By{}, compare.NewOptions())
	if err := Batch(failing{}, &c, nil, inUS); err == nil {
		t.Error("a page that could not be written passes")
	}
}

// failing is a full disk.
type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, io.ErrShortWrite }
