package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Bounds on what people may add to a record.
const (
	MaxSaid     = 500 // characters of one remark
	MaxSaidEach = 100 // remarks
)

// Said is what a person added to a record, and when.
type Said struct {
	At   time.Time `json:"at"` // UTC
	Text string    `json:"text"`
}

// SaidTexts are what people added to the record, without the times.
func (h Head) SaidTexts() []string {
	var out []string
	for _, s := range h.Said {
		out = append(out, s.Text)
	}
	return out
}

// NewSaid is a remark as a record takes it, in one line; see AddRemark.
func NewSaid(text string, at time.Time) (Said, error) {
	text = oneLine(text)
	switch n := utf8.RuneCountInString(text); {
	case text == "":
		return Said{}, fmt.Errorf("%w: it is empty", ErrRemark)
	case n > MaxSaid:
		return Said{}, fmt.Errorf("%w: it has %d characters, %d fit: shorten it", ErrRemark, n, MaxSaid)
	}
	return Said{At: at.UTC().Round(0), Text: text}, nil
}

// ErrRemark marks a remark that cannot be taken as it is written.
var ErrRemark = errors.New("remark not taken")

// tooManySaid says that no other remark fits, what follows from it, and what to do.
func tooManySaid(n int, so string) error {
	return fmt.Errorf("%w: the record holds %d already%s; keep a copy of its pull.json and take some out of \"said\" in it", ErrRemark, n, so)
}

// AddRemark adds a person's remark to the record in dir, closed or unfinished,
// in one step and under the record's lock: while a pull is recorded in it, it
// fails with ErrBusy. Control characters and line ends become blanks; an empty
// text, one longer than MaxSaid and one more than MaxSaidEach are ErrRemark.
// Whatever else pull.json holds stays as it is, what a later program put there
// too. samples.csv is not touched.
func AddRemark(dir, text string) error { return addRemark(OS{}, dir, text, time.Now()) }

func addRemark(fsys FS, dir, text string, at time.Time) (err error) {
	s, err := NewSaid(text, at)
	if err != nil {
		return err
	}
	if _, err := readHead(dir); err != nil { // before the lock, which makes a file
		return err
	}
	unlock, err := Lock(dir)
	if err != nil {
		return fmt.Errorf("add a remark: %w", err)
	}
	defer func() { err = errors.Join(err, unlock()) }()
	h, err := readHead(dir) // again: it may have been closed meanwhile
	if err != nil {
		return err
	}
	if len(h.Said) >= MaxSaidEach {
		return tooManySaid(len(h.Said), "")
	}
	path := filepath.Join(dir, HeadFile)
	old, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("add a remark: %w", err)
	}
	old, err = withSaid(old, append(h.Said, s))
	if err == nil {
		err = replace(fsys, path, old)
	}
	if err != nil {
		return fmt.Errorf("add a remark: %w", err)
	}
	return nil
}

// oneLine makes a text from a person one line of printable characters.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.IsControl(r) {
			return ' '
		}
		if !unicode.IsGraphic(r) { // what turns the direction of writing, say
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	return strings.Join(strings.Fields(s), " ")
}

// plainJSON is the JSON of v, letters such as < as they are.
func plainJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return b.Bytes(), err
}

// withSaid puts what people said into the text of pull.json.
func withSaid(text []byte, all []Said) ([]byte, error) {
	said, err := plainJSON(all)
	if err != nil {
		return nil, err
	}
	return withField(text, "said", said, "finished", "results", "closing")
}

// hasField says whether a JSON object has a field of that very name.
func hasField(text []byte, name string) bool {
	var fields map[string]json.RawMessage
	if json.Unmarshal(text, &fields) != nil {
		return false
	}
	_, has := fields[name]
	return has
}

// withField puts a field into the JSON object of text: in the place of one of
// the same name, else before the first of the fields named, else last. A nil value
// takes the field out. Every other field keeps its place and its very text but for
// the blanks around it.
func withField(text []byte, name string, value []byte, before ...string) ([]byte, error) {
	dec := json.NewDecoder(bytes.NewReader(text))
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		return nil, errors.Join(errors.New("pull.json is no JSON object"), err)
	}
	out := []byte{'{'}
	put := func(key string, v []byte) error {
		if len(out) > 1 {
			out = append(out, ',')
		}
		quoted, err := json.Marshal(key)
		out = append(append(append(out, quoted...), ':'), v...)
		return err
	}
	done := false
	here := hasField(text, name)
	for dec.More() {
		t, err := dec.Token()
		if err != nil {
			return nil, err
		}
		key, _ := t.(string)
		var v json.RawMessage
		if err := dec.Decode(&v); err != nil {
			return nil, err
		}
		switch {
		case key == name && (done || value == nil):
			continue // a second one: the first place is enough
		case key == name:
			v, done = value, true
		case !here && !done && value != nil && slices.Contains(before, key):
			if err := put(name, value); err != nil {
				return nil, err
			}
			done = true
		}
		if err := put(key, v); err != nil {
			return nil, err
		}
	}
	if _, err := dec.Token(); err != nil {
		return nil, err
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("pull.json goes on behind its end")
	}
	if !done && value != nil {
		if err := put(name, value); err != nil {
			return nil, err
		}
	}
	var b bytes.Buffer
	err := json.Indent(&b, append(out, '}'), "", "  ")
	b.WriteByte('\n')
	return b.Bytes(), err
}
