package record

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// A closed and an unfinished record are labelled anew: what each was called is kept,
// nothing else changes, byte for byte, and it is as whole as before.
func TestRelabel(t *testing.T) {
	at := time.Date(2026, 11, 26, 8, 0, 0, 0, time.UTC)
	for name, status := range map[string]Status{example: Whole, cutOff: Unfinished} {
		t.Run(name, func(t *testing.T) {
			dir := copied(t, name)
			before, err := Open(dir)
			must(t, err)
			samples, err := os.ReadFile(filepath.Join(dir, SamplesFile))
			must(t, err)
			was := before.Head.Label()
			to := Label{ID: " 33", Melt: "M<2> ", Tags: []string{"wet sand", "1150 °C", "wet sand"}}
			must(t, relabel(OS{}, dir, to, at))

			after, err := Open(dir)
			must(t, err)
			if d := cmp.Diff(Label{ID: "33", Melt: "M<2>", Tags: []string{"wet sand", "1150 °C"}}, after.Head.Label()); d != "" {
				t.Error(d)
			}
			said := strings.Join(after.Head.SaidTexts(), "\n")
			for _, want := range []string{"it was called " + was.ID, "it was called " + was.Melt, "it had no tags"} {
				if !strings.Contains(said, want) {
					t.Errorf("not said: %q in\n%s", want, said)
				}
			}
			text := headText(t, dir)
			anew, err := encodeHead(after.Head)
			must(t, err)
			if !bytes.Equal(anew, text) {
				t.Errorf("pull.json is laid out otherwise than the writer does:\n%s", cmp.Diff(string(anew), string(text)))
			}
			if err := validate(t, compile(t, true), text); err != nil {
				t.Error(err)
			}
			if r := Check(dir); r.Status != status || r.Writing {
				t.Errorf("check: %s", r.Text())
			}
			if filepath.Base(after.Dir) != name {
				t.Error("the folder has another name")
			}
			if now, _ := os.ReadFile(filepath.Join(dir, SamplesFile)); !bytes.Equal(now, samples) {
				t.Error("samples.csv was touched")
			}
			// Back to the old label, and without what was said, it is what it was.
			must(t, relabel(OS{}, dir, was, at.Add(time.Minute)))
			back, err := Open(dir)
			must(t, err)
			if !strings.Contains(strings.Join(back.Head.SaidTexts(), "\n"), "the tags were wet sand, 1150 °C") {
				t.Errorf("the tags are lost: %q", back.Head.SaidTexts())
			}
			back.Head.Said = before.Head.Said
			a, err := encodeHead(back.Head)
			must(t, err)
			b, err := encodeHead(before.Head)
			must(t, err)
			if !bytes.Equal(a, b) {
				t.Errorf("something else changed:\n%s", cmp.Diff(string(b), string(a)))
			}
			// The same label again writes nothing.
			text = headText(t, dir)
			must(t, Relabel(dir, was))
			if !bytes.Equal(text, headText(t, dir)) {
				t.Error("the same label changed pull.json")
			}
		})
	}
}

// What a later program put into the bar and beside it stays, and all old tags are
// kept, however many.
func TestRelabelKeeps(t *testing.T) {
	dir := copied(t, example)
	long := make([]string, 16)
	for i := range long {
		long[i] = fmt.Sprintf("%02d-%s", i, strings.Repeat("x", 61))
	}
	must(t, Relabel(dir, Label{ID: "3", Melt: "M1", Tags: long}))
	spoil(t, dir, HeadFile, func(b []byte) []byte {
		return bytes.Replace(b, []byte(`"alloy":`), []byte(`"hardness": 1.2345678901234567890, "alloy":`), 1)
	})
	must(t, Relabel(dir, Label{ID: "3", Melt: "", Tags: nil}))
	text := string(headText(t, dir))
	if !strings.Contains(text, `"hardness": 1.2345678901234567890,`) || strings.Contains(text, `"melt"`) || strings.Contains(text, `"tags"`) {
		t.Errorf("%.600s", text)
	}
	h, err := HeadOf(dir)
	must(t, err)
	said := strings.Join(h.SaidTexts(), "\n")
	for _, tag := range long {
		if !strings.Contains(said, tag) {
			t.Errorf("the tag %s is lost", tag)
		}
	}
	if !strings.Contains(said, "the melt is none, it was called M1") {
		t.Errorf("said %q", said)
	}
}

func TestRelabelRefused(t *testing.T) {
	to := Label{ID: "9", Melt: "M9"}
	for name, c := range map[string]struct {
		spoil func([]byte) []byte
		to    Label
		want  error
	}{
		"long specimen": {nil, Label{ID: strings.Repeat("x", MaxLabel+1)}, ErrLabel},
		"long melt":     {nil, Label{Melt: strings.Repeat("é", MaxLabel/2+1)}, ErrLabel},
		"control":       {nil, Label{ID: "a\x1b[31m"}, ErrLabel},
		"no text":       {nil, Label{Melt: "\xff"}, ErrLabel},
		"empty tag":     {nil, Label{Tags: []string{" "}}, ErrLabel},
		"many tags":     {nil, Label{Tags: strings.Split(strings.Repeat("a b c d e f g h i", 1)+" j k l m n o p q", " ")}, ErrLabel},
		"newer":         {func(b []byte) []byte { return bytes.Replace(b, []byte(`"format": 1`), []byte(`"format": 99`), 1) }, to, ErrNewer},
		"foreign":       {func([]byte) []byte { return []byte(`{"a": 1}`) }, to, ErrForeign},
		"damaged":       {func(b []byte) []byte { return b[:len(b)/2] }, to, nil},
		"twice":         {func(b []byte) []byte { return bytes.Replace(b, []byte(`"alloy"`), []byte(`"Melt": "m", "alloy"`), 1) }, to, nil},
		"a second bar": {func(b []byte) []byte {
			return bytes.Replace(b, []byte(`"rig"`), []byte(`"specimen": {"alloy": "x"}, "rig"`), 1)
		}, to, nil},
		"remarks enough": {func(b []byte) []byte { return full(t, b) }, to, ErrRemark},
	} {
		dir := copied(t, example)
		if c.spoil != nil {
			spoil(t, dir, HeadFile, c.spoil)
		}
		before := headText(t, dir)
		err := Relabel(dir, c.to)
		if err == nil || c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
		if !bytes.Equal(before, headText(t, dir)) {
			t.Errorf("%s: refused, and pull.json changed", name)
		}
	}
	dir := copied(t, example)
	unlock, err := Lock(dir)
	must(t, err)
	if err := Relabel(dir, to); !errors.Is(err, ErrBusy) {
		t.Errorf("while it is written: %v", err)
	}
	must(t, unlock())
	must(t, Relabel(dir, to))
}

// full is a pull.json with as many remarks as it may hold.
func full(t *testing.T, b []byte) []byte {
	all := make([]Said, MaxSaidEach)
	for i := range all {
		all[i] = Said{Text: "x"}
	}
	b, err := withSaid(b, all)
	must(t, err)
	return b
}
