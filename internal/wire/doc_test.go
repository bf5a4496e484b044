package wire

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

const linePage = "../../docs/line-formats.md"

// fence is a fenced block of the page.
type fence struct {
	line int    // where it begins
	info string // what is written behind the fence
	body []string
}

func fences(t *testing.T, page string) []fence {
	t.Helper()
	var all []fence
	open := false
	for i, line := range strings.Split(page, "\n") {
		info, ok := strings.CutPrefix(line, "```")
		switch {
		case ok && open:
			open = false
		case ok:
			open = true
			all = append(all, fence{line: i + 1, info: info})
		case open:
			last := &all[len(all)-1]
			last.body = append(last.body, line)
		}
	}
	if open {
		t.Fatal("a block is not closed")
	}
	return all
}

// layoutOf reads the keys of a [source] table, as far as they lay out a line.
func layoutOf(t *testing.T, f fence) Layout {
	t.Helper()
	var l Layout
	for i, line := range f.body {
		key, value, ok := strings.Cut(line, " = ")
		if !ok {
			t.Fatalf("line %d: %q is no key and value", f.line+1+i, line)
		}
		word := strings.Trim(value, `"`)
		switch key {
		case "separator":
			l.Separator = word
		case "columns":
			for name := range strings.SplitSeq(strings.Trim(value, "[]"), ", ") {
				l.Columns = append(l.Columns, strings.Trim(name, `"`))
			}
		case "clock":
			l.Tick = map[string]time.Duration{"us": time.Microsecond, "ms": time.Millisecond, "s": time.Second}[word]
		case "clock_bits":
			bits, err := strconv.Atoi(value)
			if err != nil {
				t.Fatal(err)
			}
			l.ClockBits = bits
		case "checksum":
			l.XOR = word == "xor"
		default:
			t.Fatalf("line %d: unknown key %q", f.line+1+i, key)
		}
	}
	return l
}

// TestPage decodes every example of the page.
func TestPage(t *testing.T) {
	page, err := os.ReadFile(linePage)
	if err != nil {
		t.Fatal(err)
	}
	all := fences(t, string(page))
	if len(all) == 0 || len(all)%3 != 0 {
		t.Fatalf("%d blocks, want layout, bytes and lines of each example", len(all))
	}
	for i := 0; i < len(all); i += 3 {
		layout, send, want := all[i], all[i+1], all[i+2]
		t.Run(fmt.Sprintf("line %d", layout.line), func(t *testing.T) {
			how, isBytes := strings.CutPrefix(send.info, "bytes")
			if layout.info != "toml" || !isBytes || want.info != "lines" {
				t.Fatalf("blocks %q, %q, %q: want toml, bytes, lines", layout.info, send.info, want.info)
			}
			d := mustDecoder(t, layoutOf(t, layout))
			if how == " port" {
				d.Restart()
			}
			var got []got
			emit := func(l *Line) { got = append(got, keepLine(l)) }
			for k, quoted := range send.body {
				chunk, err := strconv.Unquote(quoted)
				if err != nil {
					t.Fatalf("line %d: %s: %v", send.line+1+k, quoted, err)
				}
				d.Decode([]byte(chunk), emit)
			}
			if how == " file" {
				d.Flush(emit)
			}
			if diff := cmp.Diff(want.body, brief(got)); diff != "" {
				t.Errorf("the page says -, the decoder +:\n%s", diff)
			}
		})
	}
}

// TestPageBounds holds the numbers of the page's text to those of the code.
func TestPageBounds(t *testing.T) {
	page, err := os.ReadFile(linePage)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(page)), " ")
	for _, want := range []string{
		fmt.Sprintf("longer than %d bytes", MaxField),
		fmt.Sprintf("line of more than %d bytes", MaxLine),
		fmt.Sprintf("first %d bytes kept", MaxText),
		fmt.Sprintf("2³² µs = %.6f s", wrapOf(time.Microsecond, 32).Seconds()),
		fmt.Sprintf("Up to %.0f, which is", maxDrift*1e6),
		fmt.Sprintf("known after %.0f s", fitSpan.Seconds()),
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if MaxBanner != 100 || strayBy != time.Second/10 || buckets*bucketSpan != 32*time.Second {
		t.Error(`the page says "a hundred", "a tenth of a second" and "half minute"`)
	}
}

// TestPageRates: ten bits go over the wire for a byte.
func TestPageRates(t *testing.T) {
	page, err := os.ReadFile(linePage)
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for line := range strings.SplitSeq(string(page), "\n") {
		var baud, perSecond, of12, of16, of24 int
		if n, _ := fmt.Sscanf(line, "| %d | %d | %d | %d | %d |", &baud, &perSecond, &of12, &of16, &of24); n != 5 {
			continue
		}
		rows++
		if b := baud / 10; perSecond != b || of12 != b/12 || of16 != b/16 || of24 != b/24 {
			t.Errorf("%q is wrong", line)
		}
	}
	if rows != 6 {
		t.Errorf("%d rows of rates found, want 6", rows)
	}
}
