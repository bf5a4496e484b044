package rig

import (
	"fmt"
	"time"

	"draghand/internal/si"
)

// Proof is a proof load that a part was held at, with a steel dummy in the
// specimen's place and its straightness looked at before and after. A part so
// proven is rated at a fraction of the load.
type Proof struct {
	Force    si.Force  `json:"force_n"`  // on the part, at the limit's place
	Date     string    `json:"date"`     // 2006-01-02
	Fraction float64   `json:"fraction"` // of Force that becomes the capacity
	Before   si.Length `json:"straight_before_m"`
	After    si.Length `json:"straight_after_m"`
	Record   string    `json:"record,omitempty"` // the name of the pull record of it
}

// What a proof has to be.
const (
	maxFraction  = 0.9                // a load held once says nothing of the same load again and again
	maxBow       = 50 * si.Millimetre // of anything still to be called straight
	proofSet     = 50 * si.Micrometre // growth of the bow that a feeler gauge tells: the part has given
	oldestProof  = 1950               // a year; the ends catch a slipped digit
	newestProof  = 2200               // the package knows no clock
	maxProof     = maxForce           // on the part
	wantProof    = `proof = { force = "60 kN", date = "2026-11-25", fraction = 0.5, straight_before = "0.05 mm", straight_after = "0.05 mm" }`
	wantFraction = `the part of the proof load that the part is then rated at, as in fraction = 0.5`
	wantStraight = `the bow against a straightedge, as in "0.05 mm"; the finest feeler leaf where nothing goes under`
	wantProofDay = `a day, as in date = "2026-11-25"`
)

// Rated is the capacity that the proof gives.
func (p *Proof) Rated() si.Force { return p.Force * si.Force(p.Fraction) }

func (c *checker) proof(key string, l Limit) {
	p := l.Proof
	if p == nil {
		return
	}
	if l.Kind != Rated {
		c.fault(key+".proof", "a proof load makes a rated limit", `kind = "rated"`)
		return
	}
	key += ".proof"
	within(c, key+".force", p.Force, minForce, maxProof, forceText, `the load held on the part, as in force = "60 kN"`)
	within(c, key+".fraction", p.Fraction, 0.01, maxFraction, plainText, wantFraction)
	if day, err := time.Parse(time.DateOnly, p.Date); err != nil || day.Year() < oldestProof || day.Year() > newestProof {
		c.fault(key+".date", fmt.Sprintf("%+q is no day", p.Date), wantProofDay)
	}
	before := within(c, key+".straight_before", p.Before, 0, maxBow, lengthText, wantStraight)
	if within(c, key+".straight_after", p.After, 0, maxBow, lengthText, wantStraight) && before && p.After-p.Before > proofSet {
		c.fault(key+".straight_after", fmt.Sprintf("the bow grew by %s: the part has given and is proven to be too weak", fineLength(p.After-p.Before)), "another part; this one is scrap")
	}
	if p.Record != "" {
		c.label(key+".record", p.Record, maxNote, "the name of the pull record")
	}
	if !same(float64(l.Force), float64(p.Rated())) {
		c.fault(key[:len(key)-len(".proof")]+".force", fmt.Sprintf("%s is not %s of the proof load", forceText(l.Force), plainText(p.Fraction)), "the proof load times its fraction")
	}
}

func fineLength(l si.Length) string { return fmt.Sprintf("%.3g mm", float64(l)/si.Millimetre) }
