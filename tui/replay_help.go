package tui

// replayHelp explains the screen of a replay.
func replayHelp(k ReplayKeys) []helpRow {
	return []helpRow{
		{"replay", "a saved pull, gone through by the same engine as when it was pulled; nothing of it happens now, and no key changes the record"},
		{"force", "on the specimen at the moment looked at, above the zero then"},
		{"drag hand", "largest force up to that moment"},
		{"rails", "how far each part was to its limit then"},
		{"alarms", "said with the time they were raised; no bell rings"},
		{"chart", "the whole record, fainter after the moment looked at (│); or the 60 s or 10 s before it"},
		{"at … of …", "the moment, and how much of the record has been read: until then peak, break and alarms may not be known"},
		{"recomputed", "with another rig file: every number is by that one"},
		{"keys", k.words()},
	}
}

// drawHelp explains the screen between two rows; the figures of the moment stay in
// sight in a line.
func (m *ReplayScreen) drawHelp(p *plate, y, bottom int) {
	v := &m.pull
	if !m.unread() {
		p.text(2, y, p.w-4, joinFit(p.w-4, "at that moment "+v.snap.State.Live.Specimen.Text(v.units), "drag hand "+v.snap.State.Peak.Specimen.Text(v.units)), live)
	}
	y++
	for _, r := range replayHelp(m.keys) {
		for i, l := range wrap(r.text, min(p.w-4, 100)-helpLabel, 5) {
			if y >= bottom {
				return
			}
			if i == 0 {
				p.text(2, y, helpLabel-1, r.label, strong)
			}
			p.text(2+helpLabel, y, p.w-4-helpLabel, l, plain)
			y++
		}
	}
}
