package rig

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// MaxFile is the largest rig file read: a thousand times what one needs, small
// enough that a wrong file named by mistake costs nothing.
const MaxFile = 1 << 20

// maxKeys bounds the faults one file can make.
const maxKeys = 2000

// value is one value of the file as written, not yet given a meaning.
type value struct {
	line  int
	kind  unstable.Kind
	text  string  // string, number, bool or date as written
	items []value // of an array
}

// written says what the value is, in words for a person.
func (v value) written() string {
	switch v.kind {
	case unstable.String:
		return strconv.Quote(v.text)
	case unstable.Integer, unstable.Float:
		return "the bare number " + v.text
	case unstable.Bool:
		return v.text
	case unstable.Array:
		return "a list"
	case unstable.InlineTable:
		return "a table"
	}
	return "a date or time"
}

// document is a TOML file flattened to its dotted keys, each with its line.
//
// The decoder of go-toml stops at the first value of a wrong type, matches keys
// whatever their case and takes a bare number where a quantity was meant. All
// three are wrong here, where every fault is to be told at once and "2.5" must
// never mean 2.5 Pa. So the tree is walked instead, and go-toml only judges
// whether the file is TOML at all.
type document struct {
	values map[string]value // "ram.area", "limit[1].name"
	tables map[string]int   // line of each table's first mention: "ram", "sensor.converter", "limit[1]"
	order  []string         // keys in the order of the file
	limits int              // number of [[limit]]
	faults []Fault
}

// flatten reads the text. Where it is no TOML, the document's faults say so and
// nothing else in it counts.
func flatten(text []byte) (*document, bool) {
	d := &document{values: map[string]value{}, tables: map[string]int{}}
	w := &walker{document: d, text: text}
	w.parser.Reset(text)
	prefix := ""
	for w.parser.NextExpression() && len(d.values)+len(d.tables) < maxKeys {
		e := w.parser.Expression()
		switch e.Kind {
		case unstable.Table:
			key, line := w.key(e.Key())
			if rest, ok := strings.CutPrefix(key, "limit."); ok && w.limits > 0 {
				key = fmt.Sprintf("limit[%d].%s", w.limits, rest) // of the last one, as TOML has it
			}
			prefix = w.table(key, line, true)
		case unstable.ArrayTable:
			key, line := w.key(e.Key())
			prefix = w.arrayTable(key, line)
		case unstable.KeyValue:
			w.keyValue(prefix, e)
		}
	}
	if err := w.parser.Error(); err != nil {
		line := 1
		if pe, ok := errors.AsType[*unstable.ParserError](err); ok {
			line = w.lineOf(pe.Highlight)
		}
		d.faults = []Fault{{Line: line, Why: "not TOML: " + err.Error(), Want: `lines of key = "value" under [table] heads`}}
		return d, false
	}
	if len(d.values)+len(d.tables) >= maxKeys {
		d.faults = []Fault{{Line: 1, Why: fmt.Sprintf("more than %d keys", maxKeys), Want: "a rig file"}}
		return d, false
	}
	if len(d.faults) > 0 {
		return d, true // a key given twice: told with its line, the rest still looked at
	}
	// The walker knows the grammar, not all of its rules (numbers out of
	// range, impossible dates, tables defined twice in odd ways).
	var sink map[string]any
	if err := toml.Unmarshal(text, &sink); err != nil {
		line := 1
		if de, ok := errors.AsType[*toml.DecodeError](err); ok {
			line, _ = de.Position()
		}
		d.faults = []Fault{{Line: line, Why: "not TOML: " + strings.TrimPrefix(err.Error(), "toml: "), Want: `lines of key = "value" under [table] heads`}}
		return d, false
	}
	return d, true
}

// walker fills a document from go-toml's syntax tree.
type walker struct {
	*document
	parser unstable.Parser
	text   []byte
	at     int // offset and line reached, so that counting lines is one pass
	line   int
}

// lineOf is the line of a slice of the text, 1 where it is none.
func (w *walker) lineOf(b []byte) int {
	off := cap(w.text) - cap(b)
	if b == nil || off < 0 || off > len(w.text) {
		return 1
	}
	return 1 + bytes.Count(w.text[:off], []byte{'\n'})
}

// lineAt is the line of an offset, counted on from the last one asked for.
func (w *walker) lineAt(off int) int {
	if off < w.at || off > len(w.text) {
		w.at, w.line = 0, 0
	}
	off = min(off, len(w.text))
	w.line += bytes.Count(w.text[w.at:off], []byte{'\n'})
	w.at = off
	return w.line + 1
}

// key joins a dotted key and gives its line. Parts that are no plain words are
// quoted, so that "a.b" in quotes cannot pass for a table and a key.
func (w *walker) key(it unstable.Iterator) (string, int) {
	var parts []string
	line := 0
	for it.Next() {
		n := it.Node()
		if line == 0 {
			line = w.lineAt(int(n.Raw.Offset))
		}
		part := string(n.Data)
		if !plainKey(part) {
			part = strconv.Quote(part)
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "."), line
}

func plainKey(s string) bool {
	for _, r := range s {
		if r != '_' && r != '-' && (r < '0' || r > '9') && (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') {
			return false
		}
	}
	return s != ""
}

// table notes a table and gives the prefix of its keys.
func (w *walker) table(key string, line int, head bool) string {
	if first, ok := w.tables[key]; ok && head {
		w.twice(key, line, first)
	} else if !ok {
		w.tables[key] = line
		w.order = append(w.order, key)
	}
	return key + "."
}

func (w *walker) arrayTable(key string, line int) string {
	if key != "limit" { // the only list of tables a rig file has
		w.faults = append(w.faults, Fault{line, key, "written with double brackets", "[" + key + "]"})
		return w.table(key, line, false)
	}
	return w.nextLimit(line)
}

func (w *walker) nextLimit(line int) string {
	w.limits++
	return w.table(fmt.Sprintf("limit[%d]", w.limits), line, false)
}

func (w *walker) twice(key string, line, first int) {
	w.faults = append(w.faults, Fault{line, key, fmt.Sprintf("given twice, first on line %d", first), "it once"})
}

func (w *walker) keyValue(prefix string, e *unstable.Node) {
	name, line := w.key(e.Key())
	key := prefix + name
	if i := strings.LastIndexByte(name, '.'); i >= 0 { // ram.area = ... at the top
		w.table(prefix+name[:i], line, false)
	}
	v := e.Value()
	switch {
	case v.Kind == unstable.InlineTable:
		w.inline(key, line, v)
		return
	case key == "limit" && v.Kind == unstable.Array && tablesOnly(v):
		for it := v.Children(); it.Next(); {
			w.inline(strings.TrimSuffix(w.nextLimit(line), "."), line, it.Node())
		}
		return
	}
	if old, ok := w.values[key]; ok {
		w.twice(key, line, old.line)
		return
	}
	val := readValue(v, 0)
	val.line = line
	w.values[key] = val
	w.order = append(w.order, key)
}

func (w *walker) inline(key string, line int, v *unstable.Node) {
	prefix := w.table(key, line, false)
	for it := v.Children(); it.Next(); {
		if it.Node().Kind == unstable.KeyValue {
			w.keyValue(prefix, it.Node())
		}
	}
}

// tablesOnly says whether a list holds tables alone, at least one.
func tablesOnly(v *unstable.Node) bool {
	n := 0
	for it := v.Children(); it.Next(); n++ {
		if it.Node().Kind != unstable.InlineTable {
			return false
		}
	}
	return n > 0
}

// readValue copies a value; lists within lists mean nothing in a rig file and
// are kept as empty ones.
func readValue(n *unstable.Node, depth int) value {
	v := value{kind: n.Kind, text: string(n.Data)}
	if n.Kind == unstable.Array && depth < 1 {
		for it := n.Children(); it.Next(); {
			v.items = append(v.items, readValue(it.Node(), depth+1))
		}
	}
	return v
}
