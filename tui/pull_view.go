package tui

import (
	"fmt"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/tui/chart"
)

// The least terminal the pull screen is laid out for. Below it the figures are
// given in sentences.
const (
	minWidth  = 80
	minHeight = 24
)

// View draws the frame.
func (m PullScreen) View() string {
	if m.width <= 0 || m.height <= 0 {
		return ""
	}
	p := &m.scratch.plate
	p.reset(m.width, m.height)
	switch {
	case m.small():
		m.drawSmall(p)
	case m.snap == nil:
		p.text(2, 0, m.width-4, "waiting for the pull to start", strong)
		m.drawKeys(p, m.height-1)
	case m.stopping() != nil:
		m.drawStop(p, m.stopping())
	default:
		m.drawPull(p)
	}
	return p.frame(m.theme)
}

// small says that the terminal is smaller than the screen is laid out for.
func (m *PullScreen) small() bool { return m.width < minWidth || m.height < minHeight }

// drawPull draws the screen in the order of what the person needs: force, drag
// hand, limits, pace, record; the chart takes what is left.
func (m *PullScreen) drawPull(p *plate) {
	roomy := p.h >= 36
	size := 2
	if roomy {
		size = 3
	}
	if p.h >= 52 && p.w >= 150 {
		size = 4
	}
	m.drawIdent(p, 0)
	y := 1
	if roomy {
		y += max(2, m.drawBanner(p, y, 2)) // the second line is blank as a rule
	} else {
		y += m.drawBanner(p, y, 1)
	}
	bottom := p.h - 1
	m.drawKeys(p, bottom)
	if m.help {
		m.drawHelp(p, y, size)
		return
	}
	y = m.drawFigures(p, y, size)
	if roomy {
		y++
	}
	seen := m.seenLines(p.w)
	rails := 3
	if free := bottom - y - m.factsHigh(seen); !roomy && free-m.railsHigh(p.w, rails) < chart.MinHeight && free-m.railsHigh(p.w, rails-1) >= chart.MinHeight {
		rails-- // for the chart to have room; where it has none all the same, all stay
	}
	y = m.drawRails(p, y, rails, roomy)
	if roomy {
		y++
	}
	y = m.drawFacts(p, y, seen)
	if roomy {
		y++
	}
	m.drawBelow(p, y, bottom, m.chartInput)
}

// drawIdent is the top line: what is pulled, and where in its life the pull is.
func (m *PullScreen) drawIdent(p *plate, y int) {
	s := &m.snap.State
	right := phaseText(s) + "  " + clock(s.T)
	if s.Kind != "" && s.Kind != pull.Tension {
		right = clean(string(s.Kind)) + ", " + right
	}
	x := p.right(p.w-2, y, p.w/2, right, strong)
	if m.snap.Specimen.Simulated {
		x = p.right(x-3, y, 9, "simulated", hand)
	}
	p.text(2, y, x-5, identText(m.snap, m.units), faint)
}

// drawFigures are the two numbers to be read from across the shop: the force
// now, and the drag hand beside it. Once the pull has come out the drag hand
// is the larger, since it is what the bar has carried.
func (m *PullScreen) drawFigures(p *plate, y, size int) int {
	s := &m.snap.State
	now := s.Live.Specimen.In(m.units)
	nowText := now.Number()
	if !s.Seen {
		nowText = "---"
	}
	peak := s.Peak.Specimen.In(m.units)
	big, small := nowText, peak.Number()
	bigInk, smallInk := live, hand
	if s.Seen {
		bigInk = levelInk(s.Worst)
	}
	over := s.Outcome != ""
	if over {
		big, small, bigInk, smallInk = small, big, hand, live
	}
	// Room for the figures of a full pull, so that nothing jumps as they grow.
	widest := "88,888"
	if m.units == si.Metric {
		widest = "888.88"
	}
	for _, t := range []string{big, small} {
		if len(t) > len(widest) {
			widest = t
		}
	}
	size = fit(widest, size, p.w*11/20, 5*size)
	if size == 0 {
		size = 1
	}
	w, h := figureSize(widest, size)
	m.drawOver(p, y, over, bigInk, smallInk)
	y++
	if h > 5 {
		y++
	}
	bw, _ := figureSize(big, size)
	x := p.figures(2+w-bw, y, big, size, bigInk)
	p.text(x+2, y+h-1, 4, now.Unit, strong)

	left := 2 + w + 8 // where the smaller may begin
	smallSize := fit(widest, max(1, size-1), p.w-2-left-5, h-1)
	if smallSize == 0 {
		smallSize = 1
	}
	sw, sh := figureSize(widest, smallSize)
	sx := p.w - 2 - 5 - sw
	tw, _ := figureSize(small, smallSize)
	p.figures(sx+sw-tw, y+h-sh, small, smallSize, smallInk)
	p.text(sx+sw+2, y+h-1, 4, now.Unit, strong)
	return y + h
}

// drawOver is the line above the figures: what each of them is, and the same in
// stress and gauge pressure. It keeps the figures off the bar of an alarm, whose
// colour is theirs.
func (m *PullScreen) drawOver(p *plate, y int, over bool, bigInk, smallInk ink) {
	s := &m.snap.State
	stress := func(pt *pull.Point) string {
		if pt.Stress == 0 {
			return ""
		}
		return pt.Stress.Text(m.units)
	}
	label := "force on the specimen"
	if m.snap.State.Kind == pull.Crush {
		label = "force on the block"
	}
	if m.snap.Closed {
		label = "last force seen"
	}
	now := []string{label, stress(&s.Live), "gauge " + s.Live.Gauge.Text(m.units)}
	if !s.Seen {
		now = []string{"no fresh reading"}
		switch {
		case !s.Signal.Valid():
			now[0] = "not seen: " + s.Signal.String()
		case still(s):
			now[0] = standsStill
		}
	}
	peak := []string{"▼ drag hand"}
	if s.Peak.Specimen > 0 {
		peak = append(peak, stress(&s.Peak), "at "+clock(s.Peak.T))
	}
	left, right := now, peak
	if over {
		left, right = peak, now
	}
	x := p.right(p.w-2, y, p.w/2-2, joinFit(p.w/2-2, right...), smallInk)
	p.text(2, y, x-4, joinFit(x-4, left...), bigInk)
}

// drawFacts are the lines that are looked up rather than watched: pace, record,
// source, zero.
func (m *PullScreen) drawFacts(p *plate, y int, seen []seenLine) int {
	s := &m.snap.State
	w := p.w - 13
	y = m.drawSeen(p, y, seen)
	fact := func(label, text string, k ink) {
		p.text(2, y, 8, label, faint)
		p.text(11, y, w, text, k)
		y++
	}
	zero, zk := zeroText(s, m.units), plain
	if s.Zero.Quality == "none" || refused(s) {
		zk = warning
	}
	switch {
	case s.Outcome != "":
		fact("result", m.resultText(w), strong)
	default:
		t := s.Pace.Text(m.units)
		switch {
		case !s.Seen: // the pace of before is nothing to act on
			t = "–, force not seen"
		case s.StressPace != 0:
			t += "   " + s.StressPace.Text(m.units)
		}
		fact("pace", t, plain)
		// The zero shares the line of the pace: both are a few words.
		x := p.w / 2
		p.text(x, y-1, 6, "zero", faint)
		p.text(x+6, y-1, p.w-2-x-6, zero, zk)
	}
	rec, rk := recordText(m.snap, w)
	fact("record", rec, rk)
	src, sk := sourceText(m.snap, w)
	fact("source", src, sk)
	if m.troubled() {
		fact("trouble", troubleText(m.snap.Err, w), stop)
	}
	return y
}

// drawKeys is the last line: a question if there is one, a note that the banner
// has no room for, or the keys.
func (m *PullScreen) drawKeys(p *plate, y int) {
	t := ""
	switch m.ask {
	case askEnd:
		t = m.maybeLoaded() + ". end the pull now? the record is closed.  y / n"
	case askQuit:
		t = m.maybeLoaded() + ". " + m.quitQuestion() + "  y / n"
	}
	if t != "" {
		p.band(y, noteBar)
		p.text(0, y, p.w, "  "+t, noteBar)
		return
	}
	w := p.w - 4
	if m.help {
		p.text(2, y, w, m.helpFoot(), faint)
		return
	}
	if t := m.noted(); t != "" && m.taken() {
		p.text(2, y, w, t, strong)
		return
	}
	if m.left > 0 {
		secs := int((m.left + time.Second - 1) / time.Second)
		x := p.right(p.w-2, y, w, fmt.Sprintf("closes in %d s; any key keeps it open", secs), strong)
		w = x - 5
	}
	p.text(2, y, w, helpLine(m.keys, w), faint)
}
