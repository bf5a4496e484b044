package tui

import (
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/si"
)

// Update takes one message. It never waits.
func (m CompareScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case shelfShown:
		m.opening, m.note = "", ""
		m.see()
		if m.running && m.known { // back from a replay, and the answer was lost to it
			cmd = m.compare()
		}
	case compareReckoned:
		if msg.err != nil {
			m.failed = msg.err.Error()
			break
		}
		m.pulls, m.done, m.options.Chosen.Behind = msg.pulls, len(msg.pulls), msg.behind
		if m.pulls == nil {
			m.pulls = []compare.Pull{}
		}
		m.by.Field = m.field(m.by.Field)
		cmd = m.again()
	case compareMade:
		cmd = m.made(msg)
	case compareKept:
		m.keeping = false
		m.note, m.noteInk = msg.told()
	case shelfNotOpened:
		m.opening, m.note, m.noteInk = "", "cannot be shown again: "+msg.err.Error(), strong
	case tea.KeyMsg:
		cmd = m.pressed(msg)
	default:
		if ticked, _ := beat(msg, &m.width, &m.height, &m.tickID, m.see); ticked {
			cmd = m.tick()
		}
	}
	m.enable()
	return m, cmd
}

// told is where the report is, or why there is none.
func (k compareKept) told() (string, ink) {
	if k.err != nil {
		return "no report was written: " + k.err.Error(), stop
	}
	return "report written: " + k.file, strong
}

// takesText says that keys are text.
func (m CompareScreen) takesText() bool { return m.typing != typingNothing }

func (m *CompareScreen) pressed(msg tea.KeyMsg) tea.Cmd {
	k := &m.keys
	if key.Matches(msg, k.Abort) {
		m.cancel()
		return to(leaveAll{})
	}
	if m.typing != typingNothing {
		return m.typed(msg)
	}
	m.note = ""
	switch {
	case key.Matches(msg, k.Back), key.Matches(msg, k.Stop):
		m.cancel()
		return to(openShelf{})
	case key.Matches(msg, k.Help):
		return to(k.help())
	case key.Matches(msg, k.Before):
		m.choose(m.chosen - 1)
	case key.Matches(msg, k.Next):
		m.choose(m.chosen + 1)
	case key.Matches(msg, k.Part):
		m.part = m.nextPart()
	case key.Matches(msg, k.Plot):
		m.anotherPlot()
	case key.Matches(msg, k.Units):
		m.units = 1 - m.units
	case key.Matches(msg, k.Open):
		return m.lookAgain()
	case key.Matches(msg, k.Export):
		m.keeping = true
		return m.keep()
	case key.Matches(msg, k.Type):
		m.typing, m.fault, m.edit = typingBound, "", lineEdit{}
	case key.Matches(msg, k.Minimum):
		m.typing, m.fault, m.edit = typingMinimum, "", lineEdit{}
		if at := m.c.StatedMinimum(); at > 0 && m.options.Minimum == 0 { // all of the bars that count, whose records have one, have this
			m.edit = offered(compare.OfferedText(at, m.units))
		}
	case m.scrolled(msg):
	default:
		return m.asked(msg)
	}
	return nil
}

// scrolled takes a key that moves in the words or the bars.
func (m *CompareScreen) scrolled(msg tea.KeyMsg) bool {
	k, step := &m.keys, 0
	r, _ := m.laid()
	inBars := r.bars.h > 2
	page := max(1, r.list.h-2)
	if inBars {
		page = max(1, r.bars.h-3)
	}
	switch {
	case key.Matches(msg, k.Up):
		step = -1
	case key.Matches(msg, k.Down):
		step = 1
	case key.Matches(msg, k.PageUp):
		step = -page
	case key.Matches(msg, k.PageDown):
		step = page
	case key.Matches(msg, k.First):
		step = math.MinInt32
	case key.Matches(msg, k.Last):
		step = math.MaxInt32
	default:
		return false
	}
	if inBars {
		m.bar = max(0, min(m.bar+step, m.bars()-1))
	} else {
		m.from = max(0, min(m.from+step, len(r.words)))
	}
	return true
}

// asked takes a key that asks for another comparison.
func (m *CompareScreen) asked(msg tea.KeyMsg) tea.Cmd {
	k, o := &m.keys, &m.options
	switch {
	case key.Matches(msg, k.By):
		m.anotherField()
	case key.Matches(msg, k.Bound):
		at := slices.IndexFunc(compareBounds[:], func(b [2]float64) bool { return b == [2]float64{o.Content, o.Confidence} })
		next := compareBounds[(at+1)%len(compareBounds)]
		o.Content, o.Confidence = next[0], next[1]
	case key.Matches(msg, k.Side):
		sides := []batch.Side{batch.Either, batch.Low, batch.High}
		o.Side = sides[(slices.Index(sides, o.Side)+1)%len(sides)]
	case key.Matches(msg, k.Level):
		levels := []float64{0.05, 0.01, 0.10}
		o.Level = levels[(slices.Index(levels, o.Level)+1)%len(levels)]
	default:
		return nil
	}
	return m.again()
}

// compareBounds are the bounds a key goes through: content, confidence.
var compareBounds = [...][2]float64{{0.90, 0.95}, {0.99, 0.95}, {0.95, 0.95}}

// typed takes a key while a bound or a minimum is typed.
func (m *CompareScreen) typed(msg tea.KeyMsg) tea.Cmd {
	switch {
	case key.Matches(msg, m.keys.Drop):
		m.typing = typingNothing
	case key.Matches(msg, m.keys.Keep):
		return m.take(strings.TrimSpace(m.edit.text()))
	default:
		m.fault = ""
		m.edit.pressed(msg)
	}
	return nil
}

// take reckons with what was typed, or says what is wrong with it.
func (m *CompareScreen) take(text string) tea.Cmd {
	o := &m.options
	switch {
	case m.typing == typingBound:
		content, confidence, err := compare.ParseBound(text)
		if err != nil {
			m.fault = err.Error()
			return nil
		}
		o.Content, o.Confidence = content, confidence
	case text == "":
		o.Minimum = 0
	default:
		v, err := si.ParseStress(text)
		if err == nil && v <= 0 {
			m.fault = "a minimum is above zero; to hold against none, leave this empty"
			return nil
		}
		if err != nil {
			m.fault = err.Error()
			return nil
		}
		o.Minimum = v
	}
	m.typing = typingNothing
	return m.again()
}

// nextPart is what tab leads to; where words and plot stand side by side there are
// two.
func (m *CompareScreen) nextPart() comparePart {
	next := (m.part + 1) % comparePartCount
	if next == comparePlots && m.wide() || m.part == comparePlots {
		next = compareWords
	}
	return next
}

// anotherPlot shows the plot, or the next one where it is in sight.
func (m *CompareScreen) anotherPlot() {
	switch {
	case m.bothPlots(): // the dots stay
		if m.plot == plotWeibull {
			m.plot = plotNormal
		} else {
			m.plot = plotWeibull
		}
	case m.wide() || m.part == comparePlots:
		m.plot = (m.plot + 1) % comparePlotCount
	default:
		m.part = comparePlots
	}
}

// fields are what pulls can be grouped by here: by marks where there are any.
func (m *CompareScreen) fields() []compare.Field {
	out := []compare.Field{compare.ByMelt, compare.ByAlloy, compare.ByTag}
	if slices.ContainsFunc(m.pulls, func(p compare.Pull) bool { return p.Marked != "" }) {
		out = append(out, compare.ByMarked)
	}
	return append(out, compare.ByAll)
}

// field is the one asked for, or the first where that one is none.
func (m *CompareScreen) field(f compare.Field) compare.Field {
	if slices.Contains(m.fields(), f) {
		return f
	}
	return compare.ByMelt
}

func (m *CompareScreen) anotherField() {
	all := m.fields()
	next := all[(slices.Index(all, m.by.Field)+1)%len(all)]
	m.by = compare.By{Field: next}
	if next == compare.ByTag {
		m.by.Tags = m.tags
	}
}

// lookAgain opens the marked bar's pull, where it has something to show.
func (m *CompareScreen) lookAgain() tea.Cmd {
	b := m.barAt(m.bar)
	if b == nil || b.Dir == "" {
		return nil
	}
	if b.ByEye {
		m.note, m.noteInk = "no trace: a dial gauge was read by eye, once; there is nothing to show again", strong
		return nil
	}
	m.opening = pullName(b)
	return replayOf(m.desk, b.Dir)
}

// pullName is what a bar is called in a list.
func pullName(p *compare.Pull) string {
	if name := clean(p.Bar); name != "" {
		return cut(name, 40)
	}
	return cut(clean(p.Record), 60)
}
