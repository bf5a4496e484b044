package bench

import (
	"time"

	"draghand/internal/pull"
)

// noteLoad notes the load that the look sees: a bar that is pulled without being
// armed leaves no record, and the person is told so until a pull is armed. What is
// about the bar is asked for again.
func (b *Bench) noteLoad() {
	b.mu.Lock()
	defer b.mu.Unlock()
	snap := b.snapshot()
	if snap == nil || snap.State.Phase == pull.Slack || snap.Closed || snap.State.LoadedAt == 0 {
		return
	}
	if load := (spell{b.look, snap.State.LoadedAt}); load != b.spell {
		b.spell = load
		b.forget(PointID.ofBar)
	}
	if top := snap.State.Peak.Specimen; top > 0 && (b.loadSeen == nil || top > b.loadSeen.Largest) {
		b.loadSeen = &LoadSeen{Largest: top, At: time.Now()}
		b.changed()
	}
}

// spell is one time that a look saw load.
type spell struct {
	look *looking
	from time.Duration
}
