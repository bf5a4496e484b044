package replay

import (
	"sort"

	"draghand/internal/pull"
	"draghand/internal/watch"
)

// publish makes what a screen sees of the position.
func (r *Replay) publish() {
	r.mu.Lock()
	p := &r.pass
	b := Playback{
		At: r.at, Length: r.length, Playing: r.playing, Speed: r.speed, Known: p.known,
		Peak: p.peak, Break: p.brk, Alarms: p.alarms, Rig: r.opt.RigFile, Err: p.err,
		Seeking: r.pending, Unfinished: r.head.Closing == nil, Note: r.note,
	}
	if p.through {
		b.Lines = p.lines
		b.Length, b.Known = max(p.known, r.at), max(p.known, r.at)
	}
	if r.opt.Rig != nil && b.Rig == "" {
		b.Rig = "another rig"
	}
	line := 0
	if r.cur != nil && !r.pending {
		line = r.cur.line
	}
	story := p.story[:sort.Search(len(p.story), func(i int) bool { return p.story[i].line > line })]
	lines := int64(p.lines)
	through := p.through
	r.mu.Unlock()
	b.Line = line

	var state pull.State
	switch {
	case !r.pending && r.cur != nil:
		state = r.cur.e.State().Clone()
	case r.fromClosing && r.want.kind == toEnd:
		state = r.first.Clone()
	default: // nothing is known of it yet
		state = r.blank.Clone()
		state.T = r.at
	}
	if c := r.head.Closing; c != nil && !through {
		lines = c.SamplesLines
	}
	s := &watch.Snapshot{
		State: state, Specimen: r.head.Specimen, RigName: r.head.Rig.Name, Units: r.units,
		Unknown: r.head.Rig.UnknownParts(), Levels: r.head.Rig.Alarm, Stop: r.stop, Remark: remark(story), Story: newest(story),
		Source: watch.Source{Name: r.head.Source, Status: "ended"},
		Record: watch.Record{Path: r.rec.Dir, Name: r.rec.Name(), Lines: lines, Saved: r.rec.Closed()},
		Now:    r.at, Closed: r.at >= b.Length,
	}
	if h := r.head.Proof; h != nil {
		s.Proof = watch.Proof{Target: h.Target, Hold: h.Hold.Duration()}
	}
	if t := state.T.Seconds(); t > 0 {
		s.Source.Rate = float64(state.Readings) / t
	}
	if state.Readings > 0 {
		s.Source.Age = max(0, r.at-state.Live.T)
	}
	r.snap.Store(s)
	r.play.Store(&b)
}
