package tui

import (
	"math/bits"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// WantsASCII says that a terminal is better drawn with ASCII alone: the console
// of a Linux machine, whose font has neither braille nor all blocks, and a locale
// that names another charset than UTF-8. getenv is os.Getenv. A locale without a
// charset says nothing about the terminal.
func WantsASCII(getenv func(string) string) bool {
	if getenv("TERM") == "linux" {
		return true
	}
	locale := ""
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} { // the first that is set counts
		if locale = getenv(name); locale != "" {
			break
		}
	}
	_, charset, ok := strings.Cut(locale, ".")
	charset, _, _ = strings.Cut(charset, "@")
	charset = strings.ToLower(strings.ReplaceAll(charset, "-", ""))
	return ok && charset != "" && charset != "utf8"
}

// likeness are the ASCII stand-ins of what the screens draw, one cell for one.
// What has a meaning of its own beside another keeps one: the alarm marks, the
// signs of the drag hand, the band of the expected break.
var likeness = map[rune]byte{
	'▼': 'V', '◀': '<', '△': '^', '▲': 'A', '■': '#', '◆': '*', '●': 'o', '○': 'o', '▶': '>',
	'┈': '.', '╎': ':', '┆': '!', '┃': '|', '│': '|', '─': '-', '━': '=', '┄': '-', '╌': '-',
	'┌': '+', '┐': '+', '└': '+', '┘': '+', '├': '+', '┤': '+', '┬': '+', '┴': '+', '┼': '+',
	'╭': '+', '╮': '+', '╰': '+', '╯': '+', '═': '=', '║': '|',
	'█': '#', '▉': '#', '▊': '#', '▋': '#', '▌': '|', '▍': '|', '▎': '|', '▏': '|', '▐': '|',
	'▀': '"', '▄': '_', '▘': '`', '▝': '\'', '▖': ',', '▗': '.', '▚': '\\', '▞': '/',
	'▛': '#', '▜': '#', '▙': '#', '▟': '#', '░': '=', '▒': '%', '▓': '%',
	'·': '.', '•': '*', '…': '~', '–': '-', '—': '-', '−': '-', '±': '+', '×': 'x', '°': 'o',
	'▸': '>', '▴': '@', '‹': '<', '›': '>',
	'µ': 'u', 'μ': 'u', '²': '2', '³': '3', '‘': '\'', '’': '\'', '“': '"', '”': '"',
	'→': '>', '←': '<', '↑': '^', '↓': 'v', '≤': '<', '≥': '>', '✓': 'x', '\u00a0': ' ', '\u2009': ' ',
}

// plainLetters are the letters of Latin-1 without their marks, from À on.
const plainLetters = "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo/ouuuuyty"

// asciiOf is the ASCII look-alike of a rune one cell wide.
func asciiOf(r rune) byte {
	switch {
	case r < utf8.RuneSelf:
		return byte(r)
	case r >= 0x2800 && r <= 0x28ff:
		return asciiDots(byte(r - 0x2800))
	case r >= 'À' && r <= 'ÿ' && r != '×':
		return plainLetters[r-'À']
	}
	if c, ok := likeness[r]; ok {
		return c
	}
	return '?'
}

// asciiDots is a braille cell by where its dots are: bits 0 to 2 and 6 are the
// left column from the top, 3 to 5 and 7 the right one.
func asciiDots(dots byte) byte {
	const left, right = 0x47, 0xb8
	const rows = "\x09\x12\x24\xc0"
	top, middle, bottom := dots&rows[0], dots&(rows[1]|rows[2]), dots&rows[3]
	switch n := bits.OnesCount8(dots); {
	case dots == 0:
		return ' '
	case n >= 7:
		return '#'
	case n >= 3 && (dots&^byte(left) == 0 || dots&^byte(right) == 0):
		return '|'
	case top != 0 && bottom != 0:
		return ':'
	case top != 0 && middle == 0:
		return '\''
	case bottom != 0 && middle == 0:
		return '_'
	case bottom != 0:
		return '.'
	case top != 0:
		return '\''
	}
	return '-'
}

// plusMinus stands for ± and the blank after it: one sign alone would read as
// another.
const plusMinus = "+-"

// asciiText puts a text, escape sequences and all, into as many cells of ASCII.
func asciiText(b *strings.Builder, s string) {
	for s != "" {
		if c := s[0]; c < utf8.RuneSelf {
			b.WriteByte(c)
			s = s[1:]
			continue
		}
		if rest, ok := strings.CutPrefix(s, "± "); ok {
			b.WriteString(plusMinus)
			s = rest
			continue
		}
		cluster, n := ansi.FirstGraphemeCluster(s, ansi.GraphemeWidth)
		s = s[len(cluster):]
		r, _ := utf8.DecodeRuneInString(cluster)
		asciiCell(b, r, n)
	}
}

// asciiCell writes a rune that is n cells wide; what is wider than one has no
// look-alike.
func asciiCell(b *strings.Builder, r rune, n int) {
	if n == 1 {
		b.WriteByte(asciiOf(r))
		return
	}
	for range n {
		b.WriteByte('?')
	}
}
