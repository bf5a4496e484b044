package tui

// wide says that words and plot stand side by side.
func (m *CompareScreen) wide() bool { return m.width >= wideBench && m.height >= roomyBench }

// bothPlots says that there is room for dots and spread below each other.
func (m *CompareScreen) bothPlots() bool {
	if !m.wide() {
		return false
	}
	r := m.rooms()
	return r.dots.h > 0 && r.spread.h > 0
}

// compareRooms is what stands where below the title and what must be read first. What
// has no height is not in sight.
type compareRooms struct {
	figure       room // the answer
	size         int  // of the figure
	facts        room // beside it
	sentence     []string
	strong       int // lines of the sentence itself; then what it holds for
	sentenceY    int
	words        []compareLine
	list         room // of the words
	bars         room
	dots, spread room // plots
	end          int  // the row below all of it
}

// half is where the facts begin, right of the figure.
func (m *CompareScreen) half() int {
	if m.wide() {
		return max(m.width/2-10, 50)
	}
	return m.width / 2
}

func (m *CompareScreen) factsWide() int { return m.width - m.half() - 2 }

// rooms lays the screen out: the answer and its facts, below them words, bars and
// plots, as many as there is room for.
func (m *CompareScreen) rooms() (r compareRooms) {
	w, h := m.width, m.height
	y := 2
	if lines, _ := alerts(m.look, m.units, w-4); len(lines) > 0 {
		y = 1 + len(lines)
	}
	switch {
	case m.wide() && h >= 52 && w >= 150:
		r.size = 4
	case m.wide():
		r.size = 3
	default:
		r.size = 2
	}
	half := m.half()
	r.figure = room{2, y, half - 4, figureHigh(r.size)}
	r.facts = room{half, y, m.factsWide(), figureHigh(r.size)}
	y += r.figure.h
	r.end = h - 1
	if m.typing != typingNothing {
		r.end -= 1 + len(m.asking())
	}
	if !m.wide() {
		below := room{2, y, w - 4, r.end - y}
		switch {
		case m.part == compareBars:
			r.bars = below
		case m.part == compareWords:
			r.list = below
			if g := m.group(); g != nil {
				r.words = m.wordLines(g, below.w, true)
			}
		case m.plot == plotDots:
			r.dots = below
		default:
			r.spread = below
		}
		return r
	}
	g := m.group()
	if g != nil {
		r.sentenceY = y + 1
		r.sentence = wrapWhole(m.sentence(g), min(w-4, 150))
		r.strong = len(r.sentence)
		r.sentence = append(r.sentence, wrapWhole(m.holdsFor(g), min(w-4, 150))...)
		if len(r.sentence) > compareSentence { // then it is read in the list, by scrolling
			r.sentence = nil
		} else {
			y += len(r.sentence) + 2
		}
	}
	left := (w - 4) * 19 / 40
	if r.sentence == nil {
		y++
	}
	r.list = room{2, y, left, r.end - y - 1}
	if g != nil {
		r.words = m.wordLines(g, left, r.sentence == nil)
	}
	switch need := len(r.words) + 2; { // the bars below the words, or in their place
	case r.list.h-need >= compareBarsLeast:
		r.bars = room{2, y + need, left, r.list.h - need}
		r.list.h = need - 1
	case m.part == compareBars:
		r.bars, r.list = r.list, room{}
	}
	right := room{2 + left + 3, y, w - 4 - left - 3, r.end - y - 1}
	switch need := m.dotsHigh(); {
	case right.h >= need+1+compareSpreadLeast:
		r.dots, r.spread = right, right
		r.dots.h = max(need, min(right.h/2, need+3*len(m.c.Groups)))
		r.spread.y += r.dots.h + 1
		r.spread.h -= r.dots.h + 1
	case m.plot == plotDots:
		r.dots = right
	default:
		r.spread = right
	}
	return r
}

// compareSentence is how many lines of the sentence stand above words and plots at
// the most.
const compareSentence = 8

// compareBarsLeast is the least height of the bars below the words.
const compareBarsLeast = 8

// compareSpreadLeast is the least height of a plot of the spread below the dots.
const compareSpreadLeast = 11
