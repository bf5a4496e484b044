package compare

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// Fingerprint tells the content of a record from that of others, whatever the record
// is called and wherever it lies; samples is the sum of its readings. Of a trace it is
// the readings and when they began; of an imported table the readings, since the moment
// may be that of the import, and what the bar was called first, since a coarse dial
// logged by the second may give two bars the same rows. A dial read by eye gives one figure, and two bars
// may give the same on one day: it is that, the day as stated, the section and what the
// bar was called first. Empty where there is nothing to go by.
func Fingerprint(h *record.Head, samples string) string {
	on := struct {
		Samples  string
		Started  time.Time
		Dial     *record.Dial
		Sizes    []si.Length
		Wide     si.Area
		ID, Melt string
		Imported bool
	}{Samples: samples, Started: h.Started.UTC(), Imported: h.Imported != nil}
	switch {
	case h.Dial != nil:
		on.Samples, on.Dial, on.Sizes, on.Wide = "", h.Dial, h.Specimen.Diameters, h.Specimen.Area()
		on.ID, on.Melt = h.FirstLabel()
	case samples == "":
		return ""
	case h.Imported != nil:
		on.Started = time.Time{}
		id, melt := h.FirstLabel()
		on.ID, on.Melt = tidy(id), tidy(melt)
	}
	text, err := json.Marshal(on)
	if err != nil { // a figure that is no number
		return ""
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// records tells which pulls are of one record: by its folder, and by what was read.
type records struct {
	all  []Pull
	kind []int       // of each pull, the first of those of the same record
	kept map[int]int // of each kind the one that is taken
	mark map[int][]string
}

// sameRecords finds out which pulls are of one record. in says whether a pull is in a
// group; of copies one is taken that is, and of those the one that says the most.
func sameRecords(all []Pull, in func(*Pull) bool) records {
	r := records{all: all, kind: make([]int, len(all)), kept: map[int]int{}, mark: map[int][]string{}}
	for i := range r.kind {
		r.kind[i] = i
	}
	first := map[string]int{}
	for i := range all {
		for _, key := range all[i].keys() {
			if at, met := first[key]; met {
				r.join(at, i)
			} else {
				first[key] = i
			}
		}
	}
	for i := range all {
		k := r.of(i)
		r.kind[i] = k
		if had, met := r.kept[k]; !met || worth(&all[i], in) > worth(&all[had], in) {
			r.kept[k] = i
		}
		if m := all[i].Marked; m != "" && !slices.Contains(r.mark[k], m) {
			r.mark[k] = append(r.mark[k], m)
		}
	}
	for _, marks := range r.mark {
		slices.SortFunc(marks, inOrder)
	}
	return r
}

// keys are what a record is known by.
func (p *Pull) keys() (out []string) {
	if p.Place != "" || p.Dir != "" {
		out = append(out, "at "+cmp.Or(p.Place, p.Dir))
	}
	if p.Read != "" {
		out = append(out, "read "+p.Read)
	}
	return out
}

// worth is how much a copy says: one that is in a group, whose break was looked at, and
// of which anything is known at all.
func worth(p *Pull, in func(*Pull) bool) int {
	n := 0
	if in(p) {
		n += 4
	}
	known := finite(float64(p.Strength)) && p.Out == "" || finite(float64(p.AtLeast))
	if known || p.Counts == strength.CountsNot {
		n++
		if p.Counts != "" {
			n++
		}
	}
	return n
}

func (r *records) of(i int) int {
	for r.kind[i] != i {
		i = r.kind[i]
	}
	return i
}

func (r *records) join(i, j int) {
	a, b := r.of(i), r.of(j)
	r.kind[max(a, b)] = min(a, b)
}

// apart says that a record was put into several groups.
func (r *records) apart(i int) bool { return len(r.mark[r.kind[i]]) > 1 }

// again says why a pull cannot be taken since its record is there already; empty where
// it is the one that is taken.
func (r *records) again(i int) string {
	k := r.kept[r.kind[i]]
	if k == i {
		return ""
	}
	p, q := &r.all[i], &r.all[k]
	anew := p.Bar != q.Bar && (p.Bar != p.Record || q.Bar != q.Record) // else neither has a name
	name := q.Record
	if name == p.Record {
		name = q.Dir
	}
	switch {
	case cmp.Or(p.Place, p.Dir) == cmp.Or(q.Place, q.Dir):
		return "the same record as " + q.Record + ", named twice: it counts once"
	case p.ByEye && anew:
		return "the same record as " + name + ", labelled otherwise: the same figure for the same moment and the same section; a copy counts once, and another bar is entered again under its own name"
	case p.ByEye:
		return "the same record as " + name + ": the same figure for the same moment and the same section; a copy counts once, and another bar is entered again under its own name"
	case p.Imported:
		as := ""
		if anew {
			as = ", labelled otherwise"
		}
		return "the same record as " + name + as + ": the same readings under the same first name; a copy counts once, and another bar that gave the same rows is imported again under its own name"
	case anew:
		return "the same record as " + name + ", labelled otherwise: the same readings, and a bar counts once"
	}
	return "the same record as " + name + ": the same readings, and a bar counts once"
}

// inSeveral says which groups a record was put into.
func (r *records) inSeveral(i int) string {
	return "it was put into more than one group: " + strings.Join(r.mark[r.kind[i]], " and ")
}
