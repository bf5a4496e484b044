package record

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/pull"
)

// A record with further channels is whole, replays as any other, satisfies the
// schema with all of its fields, and is found again by the file's hash.
func TestChannels(t *testing.T) {
	h := simulatedHead()
	h.Imported = &Imported{
		File: "made-up.csv", SHA256: strings.Repeat("0a", 32), Bytes: 9, Understood: []string{"typed in"},
		TimeColumn: "Time", TimeUnit: "s", LoadColumn: "Load", LoadUnit: "kN", Flipped: true, Rows: 2, BadRows: 1,
	}
	h.Rig.Sensor.Zeroed = true
	h.Channels = []Channel{{Name: "Weg, µm!", Unit: "mm"}, {Name: "raw"}, {Name: "2nd"}, {Name: "µ"}, {Name: "2nd"}}
	shelf := t.TempDir()
	w, err := Create(shelf, h)
	must(t, err)
	w.AppendWith(ms(0), []byte("0"), []byte("819"), "", []string{"0.5", "", "a,b", strings.Repeat("1", MaxField+1)})
	w.Mark(ms(1), pull.Bad, 1, "x")
	w.AppendWith(ms(2), []byte("2"), []byte("820"), "", []string{"\x00", "\"", "\xe9"})
	w.Mark(ms(2), pull.End, 0, "")
	must(t, w.Close(replayed(t, w)))
	text, err := os.ReadFile(filepath.Join(w.Dir(), SamplesFile))
	must(t, err)
	want := "t_us,dev_t,raw,note,weg_m,raw_2,channel_2nd,channel,channel_2nd_2\n" +
		"0,0,819,,0.5,,\"a,b\",,\n1000,,,bad=1 text=x,,,,,\n2000,2,820,,,,,,\n2000,,,end,,,,,\n"
	if string(text) != want {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
	if r := Check(w.Dir()); r.Status != Whole {
		t.Errorf("%s", r.Text())
	}
	head, err := os.ReadFile(filepath.Join(w.Dir(), HeadFile))
	must(t, err)
	if err := validate(t, compile(t, true), head); err != nil {
		t.Error(err)
	}
	if got := ImportOf(shelf, h.Imported.SHA256); got != (ImportedAs{Name: w.Name()}) {
		t.Errorf("found %+v", got)
	}
	if got := ImportOf(shelf, strings.Repeat("0b", 32)); got != (ImportedAs{}) {
		t.Errorf("found %+v of another file", got)
	}
}

// A record moved to another folder keeps its channels.
func TestChannelsMoved(t *testing.T) {
	h := simulatedHead()
	h.Channels = []Channel{{Name: "travel"}}
	w, err := Create(t.TempDir(), h)
	must(t, err)
	w.AppendWith(ms(0), nil, []byte("1"), "", []string{"5"})
	must(t, w.SaveElsewhere(t.TempDir()))
	w.AppendWith(ms(1), nil, []byte("2"), "", []string{"6"})
	w.Mark(ms(1), pull.End, 0, "")
	must(t, w.Close(replayed(t, w)))
	text, err := os.ReadFile(filepath.Join(w.Dir(), SamplesFile))
	must(t, err)
	if want := "t_us,dev_t,raw,note,travel\n0,,1,,5\n1000,,2,,6\n1000,,,end,\n"; string(text) != want {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
}

func TestChannelColumnsBounded(t *testing.T) {
	in := make([]Channel, 40)
	for i := range in {
		in[i].Name = strings.Repeat("x", 100)
	}
	out := ChannelColumns(in)
	if len(out) != MaxChannels {
		t.Fatalf("%d channels", len(out))
	}
	seen := map[string]bool{}
	for _, c := range out {
		if seen[c.Column] || len(c.Column) > maxChanName+3 {
			t.Errorf("%q is there twice or too long", c.Column)
		}
		seen[c.Column] = true
	}
}
