package wire

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func micros() Layout {
	return Layout{Separator: ",", Columns: []string{"time", "raw"}, Tick: time.Microsecond, ClockBits: 32}
}

func rawOnly() Layout { return Layout{Columns: []string{"raw"}} }

func mustDecoder(t testing.TB, l Layout) *Decoder {
	t.Helper()
	d, err := NewDecoder(l)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// brief writes lines as a table can hold them.
func brief(lines []got) []string {
	var out []string
	for _, g := range lines {
		switch {
		case g.Kind != Good:
			out = append(out, fmt.Sprintf("%v %q", g.Kind, g.Text))
		case g.HasDev:
			out = append(out, fmt.Sprintf("%v %v %v", g.Kind, g.Dev, math.Float64frombits(g.Raw)))
		default:
			out = append(out, fmt.Sprintf("%v %v", g.Kind, math.Float64frombits(g.Raw)))
		}
	}
	return out
}

func TestDecode(t *testing.T) {
	long := strings.Repeat("7", 300)
	spaced := micros()
	spaced.Separator = "space"
	tabbed := Layout{Separator: "\t", Columns: []string{"-", "raw"}}
	millis := micros()
	millis.Tick = time.Millisecond
	seconds := micros()
	seconds.Tick, seconds.ClockBits = time.Second, 0
	marked := rawOnly()
	marked.XOR = true

	rows := []struct {
		name, source  string
		layout        Layout
		send          string
		restart, tail bool // Restart before, Flush after
		want          []string
	}{
		{"two columns", "line-formats.md", micros(), "1000,812\n2000,-815\n", false, false, []string{"good 1ms 812", "good 2ms -815"}},
		{"cr lf", "serial print routines end a line so (common practice, no source)", micros(), "1000,812\r\n2000,815\r\n", false, false, []string{"good 1ms 812", "good 2ms 815"}},
		{"lone cr", "brief: lone CR ends a line", micros(), "1000,812\r2000,815\r", false, false, []string{"good 1ms 812", "good 2ms 815"}},
		{"one column", "line-formats.md", rawOnly(), "812\n-0.5\n+1e3\n", false, false, []string{"good 812", "good -0.5", "good 1000"}},
		{"blanks around fields", "many boards print a comma and a blank", micros(), " 1000 ,\t812 \n", false, false, []string{"good 1ms 812"}},
		{"runs of blanks", "separator space", spaced, "  1000 \t  812\n1000 812 3\n", false, false, []string{"good 1ms 812", `bad "1000 812 3"`}},
		{"empty first column between tabs", "hand", tabbed, "\t812\nx\t813\n", false, false, []string{"good 812", "good 813"}},
		{"decimal ticks", "hand: 1.5 ms = 1,500,000 ns", millis, "1.5,812\n.25,1\n2.,1\n", false, false, []string{"good 1.5ms 812", "good 250µs 1", "good 2ms 1"}},
		{"seconds with six decimals", "hand", seconds, "12.345678,812\n", false, false, []string{"good 12.345678s 812"}},
		{"signed, empty or worded ticks are bad", "ticks are unsigned", micros(), "1,1\n-5,1\n+5,1\n,1\n.,1\n1e3,1\nnan,1\n", false, false, []string{"good 1µs 1", `bad "-5,1"`, `bad "+5,1"`, `bad ",1"`, `bad ".,1"`, `bad "1e3,1"`, `bad "nan,1"`}},
		{"ticks beyond 292 years", "hand", seconds, "1,1\n9223372035,1\n99999999999,1\n", false, false, []string{"good 1s 1", "good 2562047h47m15s 1", `bad "99999999999,1"`}},
		{"a field too few or too many", "lost line ends merge lines", micros(), "1,1\n1000\n1,2,3\n1,2,\n", false, false, []string{"good 1µs 1", `bad "1000"`, `bad "1,2,3"`, `bad "1,2,"`}},
		{"no number", "hand", rawOnly(), "1\nabc\n0x10\n1_000\n1e\n1e999\n--1\n1.2.3\n.\n-\n1 2\ninfinity\n", false, false, []string{"good 1", `bad "abc"`, `bad "0x10"`, `bad "1_000"`, `bad "1e"`, `bad "1e999"`, `bad "--1"`, `bad "1.2.3"`, `bad "."`, `bad "-"`, `bad "1 2"`, `bad "infinity"`}},
		{"words for no value", "C's printf; ovf from memory", rawOnly(), "nan\nNaN\n-nan\ninf\n-Inf\nINF\novf\n", false, false, []string{"good NaN", "good NaN", "good NaN", "good NaN", "good NaN", "good NaN", "good NaN"}},
		{"blank lines and remarks", "line-formats.md", rawOnly(), "\n\n1\n  \n# note\n \t#x\n2\n", false, false, []string{"good 1", "good 2"}},
		{"header is banner, later it is bad", "line-formats.md", micros(), "micros,counts\n1,1\nmicros,counts\n", false, false, []string{`banner "micros,counts"`, "good 1µs 1", `bad "micros,counts"`}},
		{"greeting in UTF-8", "hand", rawOnly(), "µC ready\n1\n", false, false, []string{`banner "µC ready"`, "good 1"}},
		{"noise at the start is no banner", "opening at the wrong moment", rawOnly(), "\x00\xff\n\x1b[2Jhi\n\u0085\n1\n", false, false, []string{`bad "\x00\xff"`, `bad "\x1b[2Jhi"`, `bad "\u0085"`, "good 1"}},
		{"too long a line is one bad line", "MaxLine 256", rawOnly(), "1\n" + long + "\n2\n", false, false, []string{"good 1", fmt.Sprintf("bad %q", long[:64]), "good 2"}},
		{"256 bytes are looked at, 257 are not", "MaxLine 256", rawOnly(), strings.Repeat(" ", 255) + "1\n" + strings.Repeat(" ", 256) + "1\n", false, false, []string{"good 1", fmt.Sprintf("bad %q", strings.Repeat(" ", 64))}},
		{"a field of 32 bytes is kept, of 33 it is bad", "MaxField 32", rawOnly(), strings.Repeat("0", 31) + "1\n" + strings.Repeat("0", 32) + "1\n", false, false, []string{"good 1", `bad "000000000000000000000000000000001"`}},
		{"fragment after opening is dropped", "findings 5: 4109,500 of 304109,500", micros(), "4109,500\r\n305109,501\r\n", true, false, []string{"good 305.109ms 501"}},
		{"a file's last line lacks its end", "line-formats.md", micros(), "1000,812\n2000,815", false, true, []string{"good 1ms 812", "good 2ms 815"}},
		{"a port's last line is a fragment", "findings 5", micros(), "1000,812\n2000,81", false, false, []string{"good 1ms 812"}},
		{"only a fragment", "findings 5", micros(), "4109,500", true, true, nil},
		{"checksum", "constructed; XOR of 8 1 2 is 3B", marked, "$812*3B\n$812*3b\n$812*3C\n812\n$812\n$812*3\n$812*3B \n$812*+B\n", false, false, []string{"good 812", "good 812", `bad "$812*3C"`, `bad "812"`, `bad "$812"`, `bad "$812*3"`, "good 812", `bad "$812*+B"`}},
		{"wrong checksum at the start is no banner", "hand", marked, "hello\n$812*00\n", false, false, []string{`banner "hello"`, `bad "$812*00"`}},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			for _, sizes := range [][]int{nil, {1}, {3}, {7, 2}} {
				all := brief(decodeAll(mustDecoder(t, r.layout), []byte(r.send), sizes, r.restart, r.tail))
				if diff := cmp.Diff(r.want, all); diff != "" {
					t.Errorf("Decode(%q) in chunks of %v (want -, got +; source: %s):\n%s", r.send, sizes, r.source, diff)
				}
			}
		})
	}
}

// TestChecksumSentences: the sentences of the NMEA 0183 checksum table, found in
// public examples and recomputed.
func TestChecksumSentences(t *testing.T) {
	rows := []struct {
		payload, sum string
		raw          int // index of the field to be read
		want         string
		source       string
	}{
		{"IIXDR,C,24.24,C,ENV_OUTSIDE_T,P,100700,P,ENV_ATMOS_P,H,64.356,P,ENV_OUTSIDE_H", "37", 6, "good 100700", "found, recomputed"},
		{"IIXDR,U,13.0,V,MAIN", "5A", 2, "good 13", "found, recomputed"},
		{"IIXDR,C,20.9,C,WATER", "0E", 2, "good 20.9", "found, recomputed"},
		{"IIXDR,C,19.52,C,TempAir", "19", 2, "good 19.52", "computed"},
		{"IIXDR,C,19.52,C,TempAir", "3D", 2, "bad", "printed so in a public comment, and wrong"},
		{"IIXDR,P,70.395,B,RAM,N,9822.6,N,PULL", "08", 2, "good 70.395", "constructed"},
		{"IIXDR,P,70.395,B,RAM,N,9822.6,N,PULL", "08", 6, "good 9822.6", "constructed"},
	}
	for _, r := range rows {
		l := Layout{XOR: true}
		for i := range strings.Split(r.payload, ",") {
			name := "-"
			if i == r.raw {
				name = "raw"
			}
			l.Columns = append(l.Columns, name)
		}
		send := "$" + r.payload + "*" + r.sum + "\r\n"
		lines := brief(decodeAll(mustDecoder(t, l), []byte(send), nil, false, false))
		if len(lines) != 1 || !strings.HasPrefix(lines[0], r.want) {
			t.Errorf("Decode(%q) = %q, want %q (%s)", send, lines, r.want, r.source)
		}
	}
}

func TestBannerHasAnEnd(t *testing.T) {
	d := mustDecoder(t, micros())
	lines := decodeAll(d, bytes.Repeat([]byte("1;2\n"), MaxBanner+5), nil, false, false)
	var banner, bad int
	for i, g := range lines {
		switch {
		case g.Kind == Banner && i < MaxBanner:
			banner++
		case g.Kind == Bad && i >= MaxBanner:
			bad++
		}
	}
	if banner != MaxBanner || bad != 5 {
		t.Errorf("a wrong layout gave %d banner lines first and %d bad ones then, want %d and 5", banner, bad, MaxBanner)
	}
}

// TestFlood: whatever a device sends, nothing is allocated for it and the next
// good line is read.
func TestFlood(t *testing.T) {
	noise := make([]byte, 1<<20)
	x := uint32(1)
	for i := range noise {
		x = x*1664525 + 1013904223
		noise[i] = byte(x >> 24)
	}
	rows := map[string][]byte{
		"a line of 1 MB":   bytes.Repeat([]byte("9"), 1<<20),
		"NUL bytes":        make([]byte, 1<<20),
		"binary noise":     noise,
		"escape sequences": bytes.Repeat([]byte("\x1b[2J\x1b]0;title\x07\n"), 1<<16),
		"line ends":        bytes.Repeat([]byte("\r\n"), 1<<19),
	}
	for name, send := range rows {
		t.Run(name, func(t *testing.T) {
			d := mustDecoder(t, micros())
			var good, bad, most int
			emit := func(l *Line) {
				if l.Kind == Good {
					good++
				} else {
					bad++
				}
				most = max(most, len(l.Text), len(l.RawText), len(l.DevText))
			}
			end := []byte("\n")
			run := func() {
				for i := 0; i < len(send); i += 4096 {
					d.Decode(send[i:min(i+4096, len(send))], emit)
				}
				d.Decode(end, emit)
			}
			if allocs := testing.AllocsPerRun(1, run); allocs != 0 {
				t.Errorf("%v allocations, want 0", allocs)
			}
			if most > MaxText {
				t.Errorf("a line of %d bytes was kept, want at most %d", most, MaxText)
			}
			before := good
			d.Decode([]byte("1000,812\n"), emit)
			if good != before+1 {
				t.Errorf("the good line after the flood was not read")
			}
			if name == "a line of 1 MB" && bad != 2 { // AllocsPerRun runs twice
				t.Errorf("%d bad lines, want one a flood", bad)
			}
		})
	}
}

func layouts() []Layout {
	spaced := micros()
	spaced.Separator = "space"
	swapped := Layout{Separator: ";", Columns: []string{"raw", "-", "time"}, Tick: time.Millisecond}
	marked := micros()
	marked.XOR = true
	one := rawOnly()
	one.Separator = ","
	return []Layout{
		micros(), one, spaced, swapped, marked,
		{Separator: "\t", Columns: []string{"-", "raw"}},
		{Separator: "space", Columns: []string{"-", "raw"}, XOR: true},
		{Separator: ",", Columns: []string{"time", "raw"}, Tick: time.Second},
	}
}

// pieces are what random streams are made of, so that they hold good lines too.
var pieces = []string{
	"1000", "2048", ",", ";", "\t", " ", "\n", "\r", "\r\n", "-", "+", ".", "5", "e3", "nan", "Inf", "#", "$", "*",
	"$812*3B", "123456789,2048\n", "4294967295,-12.75\r\n", "12.5 7\n", "3;x;9\n", "$1,2*2F\n", "0x1p3", "1_0", "µ", "\x00", "\x1b[",
	"99999999999999999999", "0.1000000000000000055", strings.Repeat("8", 40), strings.Repeat("z", 255), "micros,counts\n",
}

func TestDecodeAgreesWithSlowTwin(t *testing.T) {
	ls := layouts()
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.SampledFrom(ls).Draw(t, "layout")
		data := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 60).Draw(t, "pieces"), "")
		sizes := rapid.SliceOfN(rapid.IntRange(1, 40), 0, 8).Draw(t, "sizes")
		restart, flush := rapid.Bool().Draw(t, "restart"), rapid.Bool().Draw(t, "flush")
		d, err := NewDecoder(l)
		if err != nil {
			t.Fatal(err)
		}
		want := slowTwin(l, []byte(data), restart, flush)
		if diff := cmp.Diff(want, decodeAll(d, []byte(data), sizes, restart, flush)); diff != "" {
			t.Fatalf("Decode(%q) in chunks of %v with %+v (twin -, got +):\n%s", data, sizes, l, diff)
		}
	})
}

func FuzzDecode(f *testing.F) {
	for i, p := range pieces {
		f.Add([]byte(p+"\n1000,812\n"), byte(i), byte(i%5), i%2 == 0)
	}
	ls := layouts()
	f.Fuzz(func(t *testing.T, data []byte, which, size byte, restart bool) {
		l := ls[int(which)%len(ls)]
		want := slowTwin(l, data, restart, true)
		var sizes []int
		if size > 0 {
			sizes = []int{int(size), 1 + int(size)/3}
		}
		if diff := cmp.Diff(want, decodeAll(mustDecoder(t, l), data, sizes, restart, true)); diff != "" {
			t.Fatalf("Decode(%q) in chunks of %v with %+v (twin -, got +):\n%s", data, sizes, l, diff)
		}
	})
}

func TestLayoutFaults(t *testing.T) {
	rows := []struct {
		name   string
		layout Layout
		want   string // part of the error; empty: none
	}{
		{"plain", micros(), ""},
		{"default separator", Layout{Columns: []string{"raw"}}, ""},
		{"blank as a character", Layout{Separator: " ", Columns: []string{"raw"}}, ""},
		{"no columns", Layout{}, `name "raw" 0 times`},
		{"two raw", Layout{Columns: []string{"raw", "raw"}}, `name "raw" 2 times`},
		{"two times", Layout{Columns: []string{"time", "raw", "time"}, Tick: time.Second}, `name "time" 2 times`},
		{"unknown word", Layout{Columns: []string{"raw", "force"}}, `column 2 is "force"`},
		{"time without unit", Layout{Columns: []string{"time", "raw"}}, "needs the unit"},
		{"no use", Layout{Columns: []string{"time", "raw"}, Tick: 2 * time.Hour}, "of no use"},
		{"negative bits", Layout{Columns: []string{"time", "raw"}, Tick: time.Second, ClockBits: -1}, "not possible"},
		{"16-bit microseconds", Layout{Columns: []string{"time", "raw"}, Tick: time.Microsecond, ClockBits: 16}, "wraps every 65.536ms"},
		{"16-bit milliseconds", Layout{Columns: []string{"time", "raw"}, Tick: time.Millisecond, ClockBits: 16}, ""},
		{"64-bit microseconds never wrap", Layout{Columns: []string{"time", "raw"}, Tick: time.Microsecond, ClockBits: 64}, ""},
		{"long separator", Layout{Separator: "::", Columns: []string{"raw"}}, "cannot be used"},
		{"digit", Layout{Separator: "5", Columns: []string{"raw"}}, "part of a number"},
		{"letter", Layout{Separator: "E", Columns: []string{"raw"}}, "part of a number"},
		{"line end", Layout{Separator: "\n", Columns: []string{"raw"}}, "cannot be used"},
		{"star with checksum", Layout{Separator: "*", Columns: []string{"raw"}, XOR: true}, "marks the checksum"},
		{"star without", Layout{Separator: "*", Columns: []string{"raw"}}, ""},
	}
	for _, r := range rows {
		_, err := NewDecoder(r.layout)
		switch {
		case r.want == "" && err != nil:
			t.Errorf("%s: NewDecoder = %v, want no error", r.name, err)
		case r.want != "" && (err == nil || !strings.Contains(err.Error(), r.want)):
			t.Errorf("%s: NewDecoder = %v, want %q in it", r.name, err, r.want)
		}
	}
}

func TestLayoutTellsEveryFault(t *testing.T) {
	_, err := NewDecoder(Layout{Separator: "::", Columns: []string{"force", "time"}})
	if n := strings.Count(fmt.Sprint(err), "\n") + 1; n != 4 {
		t.Errorf("NewDecoder told %d faults, want 4: %v", n, err)
	}
}
