package main

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"draghand/internal/pull"
	"draghand/internal/watch"
)

// often is how often the state of a pull is told by itself: as it changes, unless
// a fixed time is given; 0 only when asked.
type often struct {
	every time.Duration
	given bool
}

// Set reads a flag.
func (o *often) Set(text string) error {
	d, err := time.ParseDuration(text)
	if err != nil {
		return fmt.Errorf("%q is no time: write it like 5s", text)
	}
	if d < 0 {
		return fmt.Errorf("%s is negative: give a time such as 5s, or 0", d)
	}
	o.every, o.given = d, true
	return nil
}

func (o *often) String() string {
	if o == nil || !o.given {
		return ""
	}
	return o.every.String()
}

// Type names the value in help.
func (o *often) Type() string { return "duration" }

// oftenUsage explains the flag.
const oftenUsage = "with --plain: how often the state is told by itself; 0 only when asked (default: as it changes)"

// Without a fixed time the state is told again at a step of the nearest limit's
// load, at a new phase, and after a while: sooner under load, later where nothing
// happens or nothing is seen, which an alarm tells anyway.
const (
	tellStep    = 0.05 // of what the nearest limit allows
	tellLoaded  = 5 * time.Second
	tellUnseen  = 15 * time.Second
	tellSlack   = 30 * time.Second
	aheadPause  = 5 * time.Second // a look-ahead back so soon is the same one
	tellPeakish = 0.1             // of the drag hand, where no limit is known
)

// pacer says when the state is to be told by itself.
type pacer struct {
	at     time.Time
	phase  pull.Phase
	ratio  float64
	seen   bool
	status string
}

// due says that the state is to be told now, and takes note that it is.
func (p *pacer) due(o often, s *watch.Snapshot, now time.Time) bool {
	since := now.Sub(p.at)
	if o.given {
		if o.every == 0 || since < o.every-tickSlack {
			return false
		}
		p.at = now
		return true
	}
	st := &s.State
	ratio, step := 0.0, tellStep
	if n := st.Nearest; n >= 0 && n < len(st.Limits) {
		ratio = st.Limits[n].Ratio
	} else if st.Peak.Specimen > 0 {
		ratio, step = float64(st.Live.Specimen/st.Peak.Specimen), tellPeakish
	}
	wait := tellSlack
	switch {
	case !watch.Loaded(st.Phase):
	case !st.Seen:
		wait = tellUnseen
	default:
		wait = tellLoaded
	}
	changed := p.at.IsZero() || p.phase != st.Phase || p.status != s.Source.Status || p.seen != st.Seen ||
		st.Seen && math.Abs(ratio-p.ratio) >= step
	if !changed && since < wait-tickSlack {
		return false
	}
	*p = pacer{at: now, phase: st.Phase, ratio: ratio, seen: st.Seen, status: s.Source.Status}
	return true
}

// calmer keeps a look-ahead that comes and goes with every stroke from being told
// each time: it is told once, and once that it is over, when it stayed away for
// aheadPause. It may be used from any goroutine.
type calmer struct {
	mu    sync.Mutex
	ahead map[string]*aheadTold
}

type aheadTold struct {
	event watch.Event   // that it is over, to be told at due
	due   time.Duration // 0: it is on
	met   bool          // a warning or stop by the load itself came: its end says all
}

// heard says whether an event is to be told.
func (c *calmer) heard(e watch.Event) bool {
	if e.Alarm == nil {
		return true
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	told := c.ahead[e.Alarm.Limit]
	if !e.Alarm.Ahead {
		if told != nil && e.Alarm.Level != pull.Caution.String() && !e.Alarm.Returned && !e.Alarm.Acknowledged {
			told.met = true
		}
		return true
	}
	switch {
	case e.Alarm.Returned && e.Alarm.Acknowledged && told != nil && told.due > 0: // over before, acknowledged now
		delete(c.ahead, e.Alarm.Limit)
		return true
	case e.Alarm.Returned:
		if told != nil {
			told.event, told.due = e, e.T+aheadPause
		}
		return told == nil
	case e.Alarm.Acknowledged:
		return true
	case told != nil && e.T < told.due && e.T >= told.event.T: // else another look began
		told.due = 0
		return false
	}
	if c.ahead == nil {
		c.ahead = map[string]*aheadTold{}
	}
	c.ahead[e.Alarm.Limit] = &aheadTold{}
	return true
}

// over are the look-aheads that stayed away, at time now of the pull.
func (c *calmer) over(now time.Duration) (out []watch.Event) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for limit, told := range c.ahead {
		if told.due > 0 && now >= told.due {
			if told.event.T = now; !told.met {
				out = append(out, told.event)
			}
			delete(c.ahead, limit)
		}
	}
	slices.SortFunc(out, func(a, b watch.Event) int { return int(a.T - b.T) })
	return out
}

// forget begins with another pull.
func (c *calmer) forget() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.ahead = nil
}
