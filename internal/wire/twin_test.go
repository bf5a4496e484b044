package wire

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// got is a line that may be kept.
type got struct {
	Kind    Kind
	Raw     uint64 // bits of the float64, so that NaN and -0 compare
	RawText string
	Dev     time.Duration
	DevText string
	HasDev  bool
	Text    string
}

func (g got) String() string {
	return fmt.Sprintf("{%v raw=%v %q dev=%v %q %v text=%q}",
		g.Kind, math.Float64frombits(g.Raw), g.RawText, g.Dev, g.DevText, g.HasDev, g.Text)
}

func keepLine(l *Line) got {
	return got{l.Kind, rawBits(l.Raw), string(l.RawText), l.Dev, string(l.DevText), l.HasDev, string(l.Text)}
}

// rawBits makes all NaN the same one.
func rawBits(v float64) uint64 {
	if math.IsNaN(v) {
		v = math.NaN()
	}
	return math.Float64bits(v)
}

// decodeAll decodes data in chunks of the given sizes, used round and round.
func decodeAll(d *Decoder, data []byte, sizes []int, restart, flush bool) []got {
	var all []got
	emit := func(l *Line) { all = append(all, keepLine(l)) }
	if restart {
		d.Restart()
	}
	for i := 0; len(data) > 0; i++ {
		n := len(data)
		if len(sizes) > 0 {
			n = min(n, max(1, sizes[i%len(sizes)]))
		}
		// A chunk of its own, overwritten afterwards: nothing may point there.
		chunk := []byte(string(data[:n]))
		d.Decode(chunk, emit)
		for k := range chunk {
			chunk[k] = 0xee
		}
		data = data[n:]
	}
	if flush {
		d.Flush(emit)
	}
	return all
}

var (
	numberPattern = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$`)
	faultPattern  = regexp.MustCompile(`^[+-]?(?i:nan|inf|ovf)$`)
	ticksPattern  = regexp.MustCompile(`^([0-9]+\.?[0-9]*|\.[0-9]+)$`)
)

// slowTwin decodes in the plainest way, all at once, with the library's means.
func slowTwin(l Layout, data []byte, restart, flush bool) []got {
	lines := strings.Split(strings.ReplaceAll(string(data), "\r", "\n"), "\n")
	if !flush {
		lines = lines[:len(lines)-1]
	}
	if restart && len(lines) > 0 {
		lines = lines[1:]
	}
	var all []got
	good, banners := false, 0
	for _, line := range lines {
		bare := strings.Trim(line, " \t")
		if len(line) <= MaxLine && (bare == "" || bare[0] == '#') {
			continue
		}
		g := got{Kind: Bad}
		if r, ok := slowLine(l, line); ok && len(line) <= MaxLine {
			good = true
			g = r
		} else if !good && banners < MaxBanner && len(line) <= MaxLine && slowPrintable(line) && (!l.XOR || bare[0] != '$') {
			banners++
			g.Kind = Banner
		}
		g.Text = line[:min(len(line), MaxText)]
		all = append(all, g)
	}
	return all
}

func slowPrintable(line string) bool {
	return utf8.ValidString(line) && !strings.ContainsFunc(line, func(r rune) bool { return r != '\t' && !unicode.IsPrint(r) })
}

func slowLine(l Layout, line string) (got, bool) {
	cut := " \t"
	if l.Separator == "\t" {
		cut = " "
	}
	line = strings.Trim(line, cut)
	if l.XOR {
		line = strings.Trim(line, " \t")
		if len(line) < 4 || line[0] != '$' || line[len(line)-3] != '*' {
			return got{}, false
		}
		want, err := strconv.ParseUint(line[len(line)-2:], 16, 8)
		if err != nil || strings.ContainsAny(line[len(line)-2:], "+-_") {
			return got{}, false
		}
		line = line[1 : len(line)-3]
		var sum byte
		for i := range len(line) {
			sum ^= line[i]
		}
		if uint64(sum) != want {
			return got{}, false
		}
		line = strings.Trim(line, cut)
	}
	var fields []string
	switch l.Separator {
	case "space":
		fields = strings.FieldsFunc(line, func(r rune) bool { return r == ' ' || r == '\t' })
	default:
		fields = strings.Split(line, l.Separator)
	}
	if len(fields) != len(l.Columns) {
		return got{}, false
	}
	g := got{Kind: Good}
	for i, name := range l.Columns {
		f := strings.Trim(fields[i], cut)
		switch name {
		case "raw":
			v, ok := slowNumber(f)
			if !ok {
				return got{}, false
			}
			g.Raw, g.RawText = rawBits(v), f
		case "time":
			v, ok := slowTicks(f, l.Tick)
			if !ok {
				return got{}, false
			}
			g.Dev, g.DevText, g.HasDev = v, f, true
		}
	}
	return g, true
}

func slowNumber(f string) (float64, bool) {
	switch {
	case len(f) > MaxField:
		return 0, false
	case faultPattern.MatchString(f):
		return math.NaN(), true
	case !numberPattern.MatchString(f):
		return 0, false
	}
	v, err := strconv.ParseFloat(f, 64)
	return v, err == nil
}

func slowTicks(f string, tick time.Duration) (time.Duration, bool) {
	if len(f) > MaxField || !ticksPattern.MatchString(f) {
		return 0, false
	}
	if i := strings.IndexByte(f, '.'); i >= 0 && len(f)-i-1 > 18 {
		f = f[:i+1+18] // eighteen decimals are looked at
	}
	r, ok := new(big.Rat).SetString("0" + strings.TrimSuffix(f, "."))
	if !ok {
		return 0, false
	}
	r.Mul(r, new(big.Rat).SetInt64(int64(tick)))
	q := new(big.Int).Quo(r.Num(), r.Denom())
	whole := new(big.Int).Div(q, big.NewInt(int64(tick)))
	// The last tick that a time.Duration holds is left out.
	if whole.Cmp(big.NewInt(math.MaxInt64/int64(tick)-1)) > 0 {
		return 0, false
	}
	return time.Duration(q.Int64()), true
}
