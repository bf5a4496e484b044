package wire

import (
	"encoding/binary"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseNumberIsCorrectlyRounded(t *testing.T) {
	rows := []struct{ text, source string }{
		{"0", ""},
		{"-0", "keeps its sign"},
		{"812", ""},
		{"0.1", ""},
		{"2048.125", "exact"},
		{"123456789012345", "15 digits, the longest exact mantissa"},
		{"1234567890123456", "16 digits: strconv"},
		{"9007199254740993", "2^53 + 1, a tie: strconv"},
		{"1e22", "largest exact power of ten"},
		{"1e23", "not exact: strconv"},
		{"123456789012345e22", "one rounding"},
		{"1e-22", ""},
		{"1e-23", "strconv"},
		{"0.000000000000001", ""},
		{"4.9e-324", "smallest"},
		{"1e-400", "underflow to 0, as strconv"},
		{"1.7976931348623157e308", "largest"},
		{"000000000000000000000000000001.5", "leading zeros"},
		{"7.3177701707893310e+15", "hard case for short multiplication (memory)"},
	}
	for _, r := range rows {
		want, err := strconv.ParseFloat(r.text, 64)
		if err != nil {
			t.Fatal(err)
		}
		v, ok := parseNumber([]byte(r.text))
		if !ok || math.Float64bits(v) != math.Float64bits(want) {
			t.Errorf("parseNumber(%q) = %v, %v, want %v (%s)", r.text, v, ok, want, r.source)
		}
	}
}

func TestParseNumberAgreesWithStrconv(t *testing.T) {
	digits := rapid.StringMatching(`[+-]?[0-9]{0,17}\.?[0-9]{0,17}([eE][+-]?[0-9]{1,3})?`)
	rapid.Check(t, func(t *rapid.T) {
		text := digits.Draw(t, "text")
		want, err := strconv.ParseFloat(text, 64)
		v, ok := parseNumber([]byte(text))
		if ok != (err == nil) || ok && math.Float64bits(v) != math.Float64bits(want) {
			t.Fatalf("parseNumber(%q) = %v, %v; strconv gives %v, %v", text, v, ok, want, err)
		}
	})
}

func FuzzNumber(f *testing.F) {
	for _, s := range []string{"1", "-0.5", "1e5", "nan", "0x1p4", "1_0", "+.5", ".", "1e999", "1234567890123456789"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > MaxField {
			return
		}
		want, wantOK := slowNumber(text)
		v, ok := ParseNumber([]byte(text))
		if ok != wantOK || ok && rawBits(v) != rawBits(want) {
			t.Fatalf("ParseNumber(%q) = %v, %v; the slow twin gives %v, %v", text, v, ok, want, wantOK)
		}
		// What is kept as text must be safe in a CSV file and on a screen.
		if ok && strings.ContainsFunc(text, func(r rune) bool {
			return !strings.ContainsRune("0123456789+-.eEnaifovNAIFOV", r)
		}) {
			t.Fatalf("ParseNumber took %q", text)
		}
	})
}

func TestEightDigits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SliceOfN(rapid.OneOf(rapid.ByteRange('0', '9'), rapid.ByteRange('0', '9'), rapid.Byte()), 8, 8).Draw(t, "bytes")
		want, err := strconv.ParseUint(string(b), 10, 64)
		if strings.ContainsAny(string(b), "+_") {
			err = strconv.ErrSyntax
		}
		v, ok := eightDigits(binary.LittleEndian.Uint64(b))
		if ok != (err == nil) || ok && v != want {
			t.Fatalf("eightDigits(%q) = %d, %v, want %d, %v", b, v, ok, want, err)
		}
	})
	// Every byte at every place.
	for place := range 8 {
		for c := range 256 {
			b := []byte("00000000")
			b[place] = byte(c)
			if _, ok := eightDigits(binary.LittleEndian.Uint64(b)); ok != isDigit(byte(c)) {
				t.Errorf("eightDigits(%q) took it: %v", b, ok)
			}
		}
	}
}
