package tui

import (
	"reflect"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
	"draghand/internal/plan"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// PlanScreen says which bar to turn for the rig and the metal on the bench. What
// it draws depends on its fields alone.
type PlanScreen struct {
	desk   Desk
	keys   planKeys
	theme  *theme
	alloys specimen.Table
	names  []string // of the alloys that have a strength, each once

	width, height int
	view          *bench.View

	own      plan.Strength // chosen here, in place of the bench's; Upper 0: none is
	strength plan.Strength // that the plan is for; Upper 0: none is known
	made     planned       // what the plan was made for
	plan     *plan.Plan    // nil: there is none to make
	sizes    []plan.Size
	chosen   int
	moved    bool // the person chose; until then it is the one advised

	typing bool
	edit   lineEdit
	fault  string // of what was typed
	tickID int

	scratch *scratch
}

// planned is what a plan hangs on.
type planned struct {
	rig      *rig.Rig
	strength plan.Strength
	units    si.System
}

// same says that a plan for one is a plan for the other. A bench makes its rig anew
// for a bar on the far side, each time it is asked.
func (a planned) same(b planned) bool {
	return a.strength == b.strength && a.units == b.units && (a.rig == b.rig || reflect.DeepEqual(a.rig, b.rig))
}

func newPlanScreen(desk Desk, t *theme) PlanScreen {
	m := PlanScreen{desk: desk, keys: newPlanKeys(), theme: t, alloys: desk.View().Alloys, scratch: &scratch{}}
	if m.alloys == nil {
		m.alloys = specimen.Alloys()
	}
	seen := map[string]bool{}
	for _, a := range m.alloys {
		if _, ok := plan.OfAlloy(m.alloys, a.Name); ok && !seen[a.Name] {
			seen[a.Name] = true
			m.names = append(m.names, a.Name)
		}
	}
	m.load()
	return m
}

// Init starts the tick: the rig may be loaded meanwhile.
func (m PlanScreen) Init() tea.Cmd { return m.tick() }

func (m PlanScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// load takes the latest view, and makes the plan anew where what it hangs on has
// changed.
func (m *PlanScreen) load() {
	m.view = m.desk.View()
	m.strength = m.own
	if m.own.Upper == 0 {
		m.strength = m.onBench()
	}
	now := planned{m.view.Rig, m.strength, m.view.Units}
	switch {
	case now.rig == nil || now.strength.Upper == 0:
		m.plan, m.sizes, m.made = nil, nil, now
	case m.plan == nil || !now.same(m.made):
		m.made = now
		m.plan = plan.For(plan.Ask{Rig: now.rig, Strength: now.strength, Units: now.units, Alloys: m.alloys})
		m.sizes = m.plan.All()
		if !m.moved {
			m.chosen = m.advised()
		}
	}
	m.chosen = max(0, min(m.chosen, len(m.sizes)-1))
	m.enable()
}

// advised is the size that the plan takes; the last where it takes none.
func (m *PlanScreen) advised() int {
	for i := range m.sizes {
		if s := &m.sizes[i]; s.Name == m.plan.Advice.Take && s.Own == m.plan.Advice.Own {
			return i
		}
	}
	return len(m.sizes) - 1
}

// onBench is how strong the metal on the bench is: as a person expects it, else
// by the table of alloys.
func (m *PlanScreen) onBench() plan.Strength {
	alloy := ""
	if f := fieldOf(m.view, bench.FieldAlloy); f != nil && f.Fault == "" {
		alloy = f.Text
	}
	if f := fieldOf(m.view, bench.FieldExpect); f != nil && f.Fault == "" && f.Text != "" {
		if low, high, err := bench.ParseExpect(f.Text); err == nil {
			s := plan.OfRange(low, high, 0)
			s.Name = alloy
			return s
		}
	}
	if s, ok := plan.OfAlloy(m.alloys, alloy); ok {
		return s
	}
	return plan.Strength{}
}

// enable lets the keys answer that would do something now.
func (m *PlanScreen) enable() {
	m.keys.Up.SetEnabled(m.chosen > 0)
	m.keys.Down.SetEnabled(m.chosen < len(m.sizes)-1)
	m.keys.Alloy.SetEnabled(len(m.names) > 0)
	m.keys.Take.SetEnabled(m.strength.Upper > 0)
	m.keys.Own.SetEnabled(m.own.Upper > 0)
}

// size is the one that is chosen; nil where there is none.
func (m *PlanScreen) size() *plan.Size {
	if m.chosen < 0 || m.chosen >= len(m.sizes) {
		return nil
	}
	return &m.sizes[m.chosen]
}
