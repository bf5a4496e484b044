package record

import (
	"strconv"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// siftBrief reads the JSON of pull.json as plainBrief does, in one pass. It is not ok
// where the text is not quite as this program writes it: then plainBrief reads it, or
// says what is wrong.
func siftBrief(text []byte) (b Brief, ok bool) {
	s := briefSifter{sifter: sifter{b: text}}
	s.object(s.head)
	if !s.done() || s.format < 1 || s.format > Format || !s.rig {
		return Brief{}, false
	}
	return s.Brief, true
}

// briefSifter fills in a Brief.
type briefSifter struct {
	sifter
	Brief
	format int
	rig    bool
	seen   [32]string // the wanted fields that were met: encoding/json merges a second one
	n      int
}

// once says that a wanted field is there for the first time.
func (s *briefSifter) once(name string) {
	for _, had := range s.seen[:s.n] {
		if had == name {
			s.fail()
			return
		}
	}
	if s.n == len(s.seen) {
		s.fail()
		return
	}
	s.seen[s.n] = name
	s.n++
}

// plainName says that a field's name is in the letters that this program uses: one in
// others may be a wanted field all the same to encoding/json, which tells no capitals.
func plainName(key []byte) bool {
	for _, c := range key {
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '_' {
			return false
		}
	}
	return true
}

// head takes a field of the head.
func (s *briefSifter) head(key []byte) {
	if !plainName(key) {
		s.fail()
		return
	}
	switch string(key) {
	case "format":
		s.once("format")
		n, err := strconv.Atoi(string(s.raw()))
		if err != nil {
			s.fail()
			return
		}
		s.format = n
	case "started":
		s.once("started")
		if raw := s.raw(); s.bad || s.Started.UnmarshalJSON(raw) != nil {
			s.fail()
		}
	case "kind":
		s.once("kind")
		s.Kind = pull.Kind(s.str(""))
	case "specimen":
		s.once("specimen")
		s.into(&s.Specimen)
	case "rig":
		s.once("rig")
		if s.rig = !s.null(); s.rig {
			s.object(s.rigField)
		}
	case "source":
		s.once("source")
		s.Source = s.str("")
	case "remarks", "overrides":
		s.once(string(key))
		s.Remarks += s.count('"')
	case "said":
		s.once("said")
		s.Remarks += s.count('{')
	case "imported":
		s.once("imported")
		s.Imported = s.there()
	case "dial":
		s.once("dial")
		s.ByEye = s.there()
	case "finished":
		s.once("finished")
		if !s.null() {
			s.array(s.measured)
		}
	case "results":
		s.once("results")
		s.Results = s.results()
	case "closing":
		s.once("closing")
		if !s.null() {
			s.Closing = &BriefClosing{}
			s.closing()
		}
	default:
		s.skip()
	}
}

func (s *briefSifter) rigField(key []byte) {
	switch {
	case !plainName(key):
		s.fail()
	case string(key) == "name":
		s.once("rig name")
		s.RigName = s.str("")
	case string(key) == "units":
		s.once("rig units")
		s.into(&s.Units)
	default:
		s.skip()
	}
}

// measured takes one of finished; the last counts.
func (s *briefSifter) measured() {
	s.Where, s.Failed = "", ""
	if s.null() {
		return
	}
	where, failed := false, false
	s.object(func(key []byte) {
		switch {
		case !plainName(key):
			s.fail()
		case string(key) == "where" && !where:
			where = true
			s.Where = specimen.Where(s.str(""))
		case string(key) == "failed_part" && !failed:
			failed = true
			s.Failed = s.str("")
		case string(key) == "where" || string(key) == "failed_part":
			s.fail()
		default:
			s.skip()
		}
	})
}

// closing takes how the pull ended.
func (s *briefSifter) closing() {
	c := s.Closing
	phase := ""
	s.object(func(key []byte) {
		switch {
		case !plainName(key):
			s.fail()
		case string(key) == "phase":
			s.once("phase")
			phase = s.str("")
		case string(key) == "outcome":
			s.once("outcome")
			c.Outcome = pull.Phase(s.str(""))
		case string(key) == "never_loaded":
			s.once("never_loaded")
			s.into(&c.NeverLoaded)
		case string(key) == "peak":
			s.once("peak")
			c.Peak = s.force("peak force")
		case string(key) == "first_yield":
			s.once("first_yield")
			c.FirstYield = s.force("first yield force")
		default:
			s.skip()
		}
	})
	if c.Outcome == "" {
		c.Outcome = pull.Phase(phase)
	}
}

// force takes a point of the closing state and gives the force on the specimen; 0:
// not known.
func (s *briefSifter) force(name string) (f si.Force) {
	if s.null() {
		return 0
	}
	s.object(func(key []byte) {
		switch {
		case !plainName(key):
			s.fail()
		case string(key) == "specimen_n":
			s.once(name)
			if v := s.float(); v != nil {
				f = si.Force(*v)
			}
		default:
			s.skip()
		}
	})
	return f
}

// results takes what stands of the results; see briefResults.
func (s *briefSifter) results() *BriefResults {
	if s.blank() != '{' {
		s.skip()
		return nil
	}
	var w resultsWire
	s.object(func(key []byte) {
		if !plainName(key) {
			s.fail()
			return
		}
		raw := s.raw()
		switch string(key) {
		case "strength_pa":
			w.Strength = raw
		case "strength_at_least_pa":
			w.AtLeast = raw
		case "strength_expanded_pa":
			w.Expanded = raw
		case "elongation":
			w.Elongation = raw
		case "counts":
			w.Counts = raw
		case "counts_because":
			w.Because = raw
		}
	})
	if s.bad {
		return nil
	}
	return w.brief()
}
