package tui

import (
	"errors"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/bench"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// The plan is reached from the bench by its key, and left again.
func TestPlanFromTheBench(t *testing.T) {
	a, _ := drive(t, app(readyDesk(), 120, 40, termenv.Ascii), "s")
	if _, ok := a.front.(PlanScreen); !ok {
		t.Fatalf("%T in front", a.front)
	}
	a, _ = drive(t, a, "b")
	if _, ok := a.front.(BenchScreen); !ok {
		t.Fatalf("%T in front after b", a.front)
	}
	a, _ = drive(t, a, "s")
	if _, quit := drive(t, a, "ctrl+c"); !quit {
		t.Fatal("ctrl+c does not leave")
	}
}

// What is taken to the bench is the metal, not the diameter: that one is measured.
func TestPlanTakesTheMetal(t *testing.T) {
	for _, c := range []struct {
		name string
		desk *fakeDesk
		keys []string
		want []string
	}{
		{"as expected", readyDesk(), nil, []string{`set expect "40.0 ksi .. 50.0 ksi"`}},
		{"by the table", withoutExpected(readyDesk()), nil, []string{`set expect "40.0 ksi .. 60.0 ksi"`}},
		{"another alloy", readyDesk(), []string{"left"}, []string{`set alloy "C83600"`, `set expect "30.0 ksi .. 45.0 ksi"`}},
		{"typed", readyDesk(), []string{"s", "4", "5", " ", "k", "s", "i", "enter"}, []string{`set expect "45.0 ksi .. 54.0 ksi"`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, _ := drive(t, planOpen(c.desk, 80, 24, termenv.Ascii), append(c.keys, "enter")...)
			if got := c.desk.calls(); !slices.Equal(got, c.want) {
				t.Errorf("asked of the desk: %q, want %q", got, c.want)
			}
			b, ok := a.front.(BenchScreen)
			if !ok || b.field != bench.FieldDiameters {
				t.Errorf("%T in front, at %q", a.front, b.field)
			}
		})
	}
}

// What the bench refuses is told, and the plan stays.
func TestPlanNotTaken(t *testing.T) {
	d := readyDesk()
	d.setErr = errors.New("a pull is being recorded")
	a, _ := drive(t, planOpen(d, 80, 24, termenv.Ascii), "enter")
	if frame := a.View(); !strings.Contains(frame, "a pull is being recorded") {
		t.Errorf("does not say why:\n%s", frame)
	}
}

// A plan follows the rig on the bench, and the size that a person chose stays
// chosen.
func TestPlanFollowsTheRig(t *testing.T) {
	d := readyDesk()
	a, _ := drive(t, planOpen(d, 80, 24, termenv.Ascii), "up", "up")
	m := a.front.(PlanScreen)
	before, at := m.plan.Part.Stop.Specimen, m.chosen
	r := exampleRig()
	for i := range r.Limits {
		if r.Limits[i].Kind == rig.Rated {
			r.Limits[i].Force /= 2
		}
	}
	d.view.Rig = r
	a, _ = tickNow(t, a)
	m = a.front.(PlanScreen)
	if got := m.plan.Part.Stop.Specimen; got != before/2 {
		t.Errorf("stop at %v, want half of %v", got, before)
	}
	if m.chosen != at {
		t.Errorf("chosen %d, was %d", m.chosen, at)
	}
}

// The rail of a size has its band where the ratio of the part lies: by hand, 40 to
// 50 ksi on 0.350 in are 17.12 and 21.40 kN of 46.62 kN at the stop, 0.367 and
// 0.459.
func TestPlanBand(t *testing.T) {
	m := planOpen(readyDesk(), 200, 60, termenv.Ascii).front.(PlanScreen)
	for i := range m.sizes {
		s := &m.sizes[i]
		if s.Name != si.Length(0.350*si.Inch).Text(si.US) {
			continue
		}
		low, high := m.plan.Part.Ratio(s.Low), m.plan.Part.Ratio(s.High)
		if low < 0.3665 || low > 0.3678 || high < 0.4583 || high > 0.4597 {
			t.Errorf("the band lies from %v to %v", low, high)
		}
		return
	}
	t.Error("no 0.350 in")
}

// A strength that is pasted is text, as one that is typed at once.
func TestPlanStrengthPasted(t *testing.T) {
	for name, msg := range map[string]tea.KeyMsg{
		"pasted":  {Type: tea.KeyRunes, Runes: []rune("45 ksi"), Paste: true},
		"at once": {Type: tea.KeyRunes, Runes: []rune("45 ksi")},
	} {
		d := readyDesk()
		a, _ := drive(t, planOpen(d, 80, 24, termenv.Ascii), "s")
		next, _ := a.Update(msg)
		drive(t, next.(App), "enter", "enter")
		if got := d.calls(); !slices.Equal(got, []string{`set expect "45.0 ksi .. 54.0 ksi"`}) {
			t.Errorf("%s: asked of the desk: %q", name, got)
		}
	}
}

// The least screen has room for every key of a plan.
func TestPlanKeysAt80(t *testing.T) {
	frame := planOpen(readyDesk(), 80, 24, termenv.Ascii).View()
	if last := frame[strings.LastIndexByte(frame, '\n'):]; !strings.Contains(last, "? help") {
		t.Errorf("no help in %q", last)
	}
}
