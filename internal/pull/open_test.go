package pull

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Real tests of others, openly licensed, kept outside this repository:
// DRAGHAND_OPEN_DATA names the folder that holds traces. This is a first look at a part of them:
// steel and bronze that snap, at the sample that expected.csv names
// (last_before, an independent script's figure), and traces without a break.
func TestOpenTraces(t *testing.T) {
	dir := os.Getenv("DRAGHAND_OPEN_DATA")
	if dir == "" {
		t.Skip("DRAGHAND_OPEN_DATA names no folder of open traces")
	}
	dir = filepath.Join(dir, "traces")
	lastBefore := expectedBreaks(t, filepath.Join(dir, "expected.csv"))
	for _, set := range []struct {
		files   string
		comma   string
		force   int // column, from 0; time is the first
		sign    float64
		outcome []Phase
		after   int // rows after the one expected that the break may be found at
	}{
		{"s355-steel/*.csv", ";", 2, 1, []Phase{Broken}, 1},
		{"copper-alloys/Tensile_E_01.lis", "\t", 2, 1, []Phase{Broken}, 1},
		{"concrete-load-cycles/c*.csv", ",", 1, -1, []Phase{LetOff, Unclear}, 0},
		{"polymer-film/film*.csv", ",", 1, 1, []Phase{Ended}, 0},
		{"ss304l-small/c*.csv", ",", 2, 1, []Phase{Ended}, 0},
		{"al6061-shear/c*.csv", ",", 2, 1, []Phase{Unclear, Broken}, 10}, // a row every 2 s: the script begins the fall with the descent before it
	} {
		files, _ := filepath.Glob(filepath.Join(dir, set.files))
		if len(files) == 0 {
			t.Errorf("no %s", set.files)
		}
		for _, f := range files {
			ts, force := readTrace(t, f, set.comma, set.force, set.sign)
			peak := 0.0
			for _, v := range force {
				peak = max(peak, v)
			}
			r := plainRig()
			r.Source.Rate = float64(len(ts)-1) / (ts[len(ts)-1] - ts[0])
			e := New(Config{Kind: Tension, Rig: r})
			at := func(i int) time.Duration { return time.Duration((ts[i] - ts[0]) * float64(time.Second)) }
			for i := range ts {
				e.Step(Reading{T: at(i), Raw: rawOf(r, force[i]/peak*30)})
			}
			e.Step(Reading{T: at(len(ts) - 1), Mark: End})
			st := e.State()
			name, ok := filepath.Base(f), false
			for _, want := range set.outcome {
				ok = ok || st.Outcome == want
			}
			if !ok {
				t.Errorf("%s: %q, want one of %v", name, st.Outcome, set.outcome)
			}
			if st.Break == nil {
				continue
			}
			// The row after last_before, or one beside it: the two rules differ a little.
			k := lastBefore[name] + 1
			if k < 2 || k > len(ts)-1 {
				t.Errorf("%s: no break is expected", name)
				continue
			}
			if st.Break.T < at(k-1) || st.Break.T > at(min(k+set.after, len(ts)-1)) {
				t.Errorf("%s: break at %v, want the reading at %v, or one beside it", name, st.Break.T, at(k))
			}
		}
	}
}

func expectedBreaks(t *testing.T, file string) map[string]int {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	name, last, out := -1, -1, map[string]int{}
	for i, h := range rows[0] {
		switch h {
		case "file":
			name = i
		case "last_before":
			last = i
		}
	}
	for _, r := range rows[1:] {
		if v, err := strconv.Atoi(r[last]); err == nil {
			out[r[name]] = v
		}
	}
	return out
}

// readTrace reads the rows of numbers of a file, with a decimal comma where the
// fields are not parted by commas.
func readTrace(t *testing.T, file, comma string, col int, sign float64) (ts, force []float64) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		c := strings.Split(strings.TrimSpace(line), comma)
		if len(c) <= col {
			continue
		}
		var v [2]float64
		ok := true
		for i, s := range []string{c[0], c[col]} {
			if comma != "," {
				s = strings.Replace(s, ",", ".", 1)
			}
			f, err := strconv.ParseFloat(s, 64)
			v[i], ok = f, ok && err == nil
		}
		if ok {
			ts, force = append(ts, v[0]), append(force, sign*v[1])
		}
	}
	if len(ts) < 10 {
		t.Fatalf("%s: %d rows", file, len(ts))
	}
	return ts, force
}
