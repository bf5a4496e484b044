package bench

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/specimen"
)

// barKey is a bar as a person tells it from others. Simulated ones are no bars of
// metal and are counted by themselves.
type barKey struct {
	melt, id  string
	simulated bool
}

func keyOf(s specimen.Specimen) barKey { return barKey{s.Melt, s.ID, s.Simulated} }

// earlier is a pull of a bar.
type earlier struct {
	at      time.Time
	outcome string // empty: its record was never closed
}

// shelfBars are the bars on the shelf. It is for one goroutine at a time.
type shelfBars struct {
	skim  record.Skimmer
	dir   time.Time       // when the folder was changed
	asked time.Time       // when it was looked at
	known map[string]bool // records that were read, by name

	// What the rig in front is told by; see history.go.
	noted       []noted
	pending     []string             // those that were being written
	checks      map[string]checkRead // check bars that were read
	of          *rig.Rig             // the rig that history was read for
	ofSimulated bool
	fresh       bool      // something was noted since
	told        time.Time // when history was looked at
}

// pulledEvery is how often the shelf is looked at for bars that others pulled.
const pulledEvery = 2 * time.Second

// tendPulled reads the heads of the records that have come to the shelf. The
// caller holds work.
func (b *Bench) tendPulled(atOnce bool) {
	s := &b.heads
	if !atOnce && time.Since(s.asked) < pulledEvery {
		return
	}
	s.asked = time.Now()
	b.tendPending()
	info, err := os.Stat(b.o.Shelf)
	if err != nil || info.ModTime().Equal(s.dir) && time.Since(s.dir) > pulledEvery { // some disks tell time coarsely
		return
	}
	s.dir = info.ModTime()
	all, err := os.ReadDir(b.o.Shelf)
	if err != nil {
		return // arming tells what is wrong with the shelf
	}
	found := map[barKey]earlier{}
	for _, one := range all {
		name := one.Name()
		if s.known[name] || strings.HasPrefix(name, ".") {
			continue
		}
		head, err := s.skim.Brief(filepath.Join(b.o.Shelf, name))
		if err != nil {
			continue
		}
		if head.Writing {
			if !slices.Contains(s.pending, name) {
				s.pending = append(s.pending, name)
			}
			continue
		}
		if s.known == nil {
			s.known = map[string]bool{}
		}
		s.known[name] = true
		s.note(name, &head)
		e := earlier{at: head.Started}
		if c := head.Closing; c != nil {
			if c.NeverLoaded {
				continue
			}
			e.outcome = string(c.Outcome)
		}
		if k := keyOf(head.Specimen); k.id != "" && e.at.After(found[k].at) {
			found[k] = e
		}
	}
	if len(found) == 0 {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for k, e := range found {
		if e.at.After(b.pulled[k].at) {
			b.pulled[k] = e
		}
	}
	b.changed()
}

// tendPending looks again at records that were being written: that one was closed
// does not show in the folder.
func (b *Bench) tendPending() {
	s := &b.heads
	s.pending = slices.DeleteFunc(s.pending, func(name string) bool {
		head, err := s.skim.Brief(filepath.Join(b.o.Shelf, name))
		if err == nil && head.Writing {
			return false
		}
		s.dir = time.Time{} // read it with the others
		return true
	})
}

// refusePulled refuses to give two bars one number.
func (m *moment) refusePulled(may func(what, next string)) {
	if m.pulled.at.IsZero() || m.setup.Bar.ID == "" {
		return
	}
	what := "specimen " + m.setup.Bar.ID
	if m.setup.Bar.Melt != "" {
		what += " of melt " + m.setup.Bar.Melt
	}
	how := m.pulled.outcome
	if how == "" {
		how = "its record was not closed"
	}
	may(fmt.Sprintf("%s was pulled already: %s, %s", what, m.pulled.at.Local().Format("2006-01-02 15:04"), tidy(how)),
		"give this bar its own number; if it is the same bar again, arm with that as the reason")
}
