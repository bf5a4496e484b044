package record

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"

	"github.com/google/go-cmp/cmp"
)

func TestParseDial(t *testing.T) {
	const psi = 6894.757293168 // NIST SP 811, appendix B.8
	for _, c := range []struct {
		text, at   string
		pa, paErr  float64
		n, nErr    float64
		where, bad string
	}{
		{"5200 psi ± 50 psi", "", 5200 * psi, 50 * psi, 0, 0, "", ""},
		{"360 bar", "", 36e6, 0, 0, 0, "", ""},
		{"360 bar +/- 5 bar", "", 36e6, 5e5, 0, 0, "", ""},
		{"360 bar ± 0.5 MPa", "", 36e6, 5e5, 0, 0, "", ""},
		{"62 kN", "", 0, 0, 62e3, 0, "ram", ""},
		{"62 kN ± 500 N", "specimen", 0, 0, 62e3, 500, "specimen", ""},
		{"62 kN", "ram", 0, 0, 62e3, 0, "ram", ""},
		{"5200", "", 0, 0, 0, 0, "", "neither a gauge pressure"},
		{"", "", 0, 0, 0, 0, "", "neither"},
		{"12 mm", "", 0, 0, 0, 0, "", "neither"},
		{"0 psi", "", 0, 0, 0, 0, "", "no load"},
		{"-5 kN", "", 0, 0, 0, 0, "", "no load"},
		{"NaN psi", "", 0, 0, 0, 0, "", "neither"},
		{"1e999 psi", "", 0, 0, 0, 0, "", "neither"},
		{"5200 psi ± 50", "", 0, 0, 0, 0, "", "no unit"},
		{"5200 psi ± 1 %", "", 0, 0, 0, 0, "", "no unit of pressure"},
		{"5200 psi ± 1 kN", "", 0, 0, 0, 0, "", "no unit of pressure"},
		{"62 kN ± 50 psi", "", 0, 0, 0, 0, "", "no unit of force"},
		{"5200 psi ± -50 psi", "", 0, 0, 0, 0, "", "not between"},
		{"5200 psi ± 6000 psi", "", 0, 0, 0, 0, "", "not between"},
		{"5200 psi", "specimen", 0, 0, 0, 0, "", "only a force acts on the specimen"},
	} {
		d, err := ParseDial(c.text, rig.Place(c.at))
		if c.bad != "" {
			if err == nil || !strings.Contains(err.Error(), c.bad) {
				t.Errorf("%q at %q: %v, want %q", c.text, c.at, err, c.bad)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q at %q: %v", c.text, c.at, err)
			continue
		}
		for name, v := range map[string][2]float64{
			"pressure": {value(d.Pressure), c.pa}, "its ±": {value(d.PressureError), c.paErr},
			"force": {value(d.Force), c.n}, "its ±.": {value(d.ForceError), c.nErr},
		} {
			if math.Abs(v[0]-v[1]) > 1e-9*v[1] { // a factor of thirteen digits
				t.Errorf("%q: %s %v, want %v", c.text, name, v[0], v[1])
			}
		}
		if string(d.At) != c.where {
			t.Errorf("%q: at %q, want %q", c.text, d.At, c.where)
		}
	}
}

func value[T ~float64](p *T) float64 {
	if p == nil {
		return 0
	}
	return float64(*p)
}

// FuzzParseDial: what is taken is one quantity, finite, above nothing, with a ±
// smaller than it, and the same when written out and read again.
func FuzzParseDial(f *testing.F) {
	for _, s := range []string{"5200 psi ± 50 psi", "62 kN", "360 bar +/- 5 bar", "± 5 bar", "1 N ± 0 N", "5e-324 Pa", "1e308 kN"} {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, text string, specimen bool) {
		at := rig.Place("")
		if specimen {
			at = rig.AtSpecimen
		}
		d, err := ParseDial(text, at)
		if err != nil {
			return
		}
		v, e, out := value(d.Pressure), value(d.PressureError), ""
		if (d.Pressure == nil) == (d.Force == nil) {
			t.Fatalf("%q: %+v", text, d)
		}
		if d.Force != nil {
			v, e = value(d.Force), value(d.ForceError)
			out = d.Force.String()
			if d.ForceError != nil {
				out += " ± " + d.ForceError.String()
			}
		} else {
			out = d.Pressure.String()
			if d.PressureError != nil {
				out += " ± " + d.PressureError.String()
			}
		}
		if !(v > 0) || math.IsInf(v, 0) || !(e >= 0 && e < v) {
			t.Fatalf("%q: %v ± %v", text, v, e)
		}
		again, err := ParseDial(out, at)
		if err != nil || cmp.Diff(d, again) != "" {
			t.Fatalf("%q as %q: %v %s", text, out, err, cmp.Diff(d, again))
		}
	})
}

func dialHead(t *testing.T, text string, at rig.Place) Head {
	t.Helper()
	d, err := ParseDial(text, at)
	must(t, err)
	d.Outcome = pull.Broken
	h := simulatedHead()
	h.Dial, h.Source = &d, "dial gauge, by eye"
	return h
}

// By hand on the example rig, 42 cm² and half of it on the specimen of 12.5 mm:
// 2500 psi are 17.23689323 MPa, so 72,394.95 N on the ram, 36,197.48 N on the
// specimen, and ± 50 psi are ± 723.95 N there. A force on the ram or on the
// specimen is itself.
func TestDialForces(t *testing.T) {
	for _, c := range []struct {
		text       string
		at         rig.Place
		ram, spec  float64
		plus       float64
		gauge      float64
		reallySame float64 // tolerance, N
	}{
		{"2500 psi ± 50 psi", "", 72394.9516, 36197.4758, 723.9495, 17.23689323e6, 0.01},
		{"70 kN ± 1 kN", rig.AtRam, 70e3, 35e3, 500, 70e3 / 42e-4, 1e-6},
		{"35 kN", rig.AtSpecimen, 70e3, 35e3, 0, 70e3 / 42e-4, 1e-6},
	} {
		h := dialHead(t, c.text, c.at)
		s := h.dialState()
		for name, v := range map[string][2]float64{
			"ram": {float64(s.Peak.Ram), c.ram}, "specimen": {float64(s.Peak.Specimen), c.spec}, "±": {float64(s.Eye.Error), c.plus},
		} {
			if math.Abs(v[0]-v[1]) > c.reallySame {
				t.Errorf("%s: %s %v, want %v", c.text, name, v[0], v[1])
			}
		}
		if math.Abs(float64(s.Peak.Gauge)-c.gauge) > 1 {
			t.Errorf("%s: gauge %v, want %v", c.text, s.Peak.Gauge, c.gauge)
		}
		if s.Readings != 0 || s.T != 0 || s.LoadedAt != 0 || s.Outcome != pull.Broken || s.PeakRaw != (pull.Point{}) {
			t.Errorf("%s: %+v", c.text, s)
		}
	}
}

// A record without a trace is whole, fits the schema, says null for every time,
// and a replay gives the state it was made with.
func TestDialRecord(t *testing.T) {
	shelf := t.TempDir()
	h := dialHead(t, "2500 psi ± 50 psi", "")
	dir, made, err := CreateDial(shelf, h)
	must(t, err)
	text, err := os.ReadFile(filepath.Join(dir, HeadFile))
	must(t, err)
	must(t, validate(t, compile(t, true), text))
	if b, err := os.ReadFile(filepath.Join(dir, SamplesFile)); err != nil || string(b) != header+"\n" {
		t.Errorf("samples %q, %v", b, err)
	}
	for _, want := range []string{`"t_s": null`, `"peak_raw": null`, `"noise_pa": null`, `"peak_bias_n": null`, `"outcome": "broken"`} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %s in\n%s", want, text)
		}
	}
	if strings.Contains(string(text), "never_loaded") {
		t.Error("it says that no load was seen")
	}
	if r := Check(dir); r.Status != Whole || r.Lines != 0 {
		t.Errorf("check: %+v", r)
	}
	rec, err := Open(dir)
	must(t, err)
	if d := cmp.Diff(h.Dial, rec.Head.Dial); d != "" {
		t.Errorf("the dial (-written +read)\n%s", d)
	}
	got, err := rec.Replay(nil)
	must(t, err)
	if d := cmp.Diff(made, got); d != "" {
		t.Errorf("the state (-made +replayed)\n%s", d)
	}
	if !math.IsNaN(float64(rec.Head.Closing.Peak.T)) || rec.Head.Closing.Peak.T.Duration() != 0 {
		t.Errorf("peak at %v", rec.Head.Closing.Peak.T)
	}
	if _, ok := LastZero(shelf, h.Rig.Name, h.Specimen.Simulated); ok {
		t.Error("a dial gives a zero")
	}
	// Another rig makes another force of the same pressure.
	rec.Head.Rig.Path.Share = 0.25
	if other, err := rec.Replay(nil); err != nil || math.Abs(float64(other.Peak.Specimen/got.Peak.Specimen)-0.5) > 1e-12 {
		t.Errorf("with another rig %v, %v", other.Peak.Specimen, err)
	}
	// A changed samples.csv is noticed.
	spoil(t, dir, SamplesFile, func(b []byte) []byte { return b[:len(b)-4] })
	if _, err := rec.Replay(nil); err == nil {
		t.Error("damage is not told")
	}
}

func TestDialRefused(t *testing.T) {
	h := dialHead(t, "2500 psi", "")
	big, small := si.Pressure(71e6), si.Pressure(1)
	for name, edit := range map[string]func(h *Head){
		"past its range": func(h *Head) { h.Dial.Pressure = &big },
		"no peak":        func(h *Head) { h.Dial = nil },
		"no rig":         func(h *Head) { h.Rig = nil },
		"is no load":     func(h *Head) { h.Dial = &Dial{} },
		"only bears the weight": func(h *Head) {
			r := *h.Rig
			r.Path.Weight, r.Path.RamPushes = 500, "up"
			h.Rig, h.Dial = &r, &Dial{Pressure: &small}
		},
	} {
		c := h
		edit(&c)
		shelf := t.TempDir()
		if _, _, err := CreateDial(shelf, c); err == nil || !strings.Contains(err.Error(), strings.TrimPrefix(name, "no rig")) {
			t.Errorf("%s: %v", name, err)
		}
		if left, _ := os.ReadDir(shelf); len(left) != 0 {
			t.Errorf("%s left %v", name, left)
		}
	}
}
