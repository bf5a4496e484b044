package compare_test

import (
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// A bound is said with its confidence and with what it was read by, also where it is
// spoken of alone.
func TestWeakerIsSaidWithConfidence(t *testing.T) {
	o := compare.NewOptions()
	c := compare.Of(worked("M1"), byMelt(), o)
	has(t, words(&c, si.US), "With 95 % confidence at most 1 bar in 10 reads below the bound: it is no promise for the next bar.")
	c = compare.Of(bars("M1", 44.95, 45.05), byMelt(), o)
	has(t, words(&c, si.US), "With 95 % confidence at most 1 bar in 10 reads below the bound")
	o.Content, o.Confidence = 0.97, 0.9
	c = compare.Of(worked("M1"), byMelt(), o)
	has(t, words(&c, si.US), "With 90 % confidence at most 3 % of such bars read below the bound")
}

// Of several rigs what is said of them is said of all.
func TestRigsInWords(t *testing.T) {
	all := each(worked("M1"), func(i int, p *compare.Pull) {
		if i > 2 {
			p.RigName, p.CommonBy, p.CommonDoF = "two", "rig two", 2
		}
	})
	o := compare.NewOptions()
	o.Minimum = 20 * si.KSI
	c := compare.Of(all, byMelt(), o)
	text := words(&c, si.US)
	has(t, text, "as these rigs read, at least", "is taken off for what the rigs themselves may be off", "What the rigs themselves may be off is multiplied by 4.30")
	hasNot(t, text, "the rig itself")
	all[0].U, all[0].Common = 0, 0
	c = compare.Of(all, byMelt(), o)
	has(t, words(&c, si.US), "cannot be told, since what the rigs themselves may be off is not known")
	hasNot(t, words(&c, si.US), "the rig itself")
}

// Three bars can hardly show that one of them lies apart.
func TestApartOfThree(t *testing.T) {
	const hardly = "Three bars can hardly tell."
	for n, told := range map[int]bool{3: true, 4: false} {
		c := compare.Of(worked("M1")[:n], byMelt(), compare.NewOptions())
		if text := words(&c, si.US); told {
			has(t, text, "No bar lies apart: the farthest is ", hardly)
		} else {
			hasNot(t, text, hardly)
		}
	}
}

// Small things said wrongly once.
func TestWordings(t *testing.T) {
	both := compare.Of(each(bars("M1", 44, 45), func(_ int, p *compare.Pull) { p.Counts = "" }), byMelt(), compare.NewOptions())
	has(t, words(&both, si.US), "nobody looked at the break of both bars yet")
	alike := compare.Of(bars("M1", 44, 44), byMelt(), compare.NewOptions())
	has(t, words(&alike, si.US), "CAUTION: both bars read alike: ")

	one := compare.Of(each(bars("M1", 44), func(_ int, p *compare.Pull) { p.ByEye, p.Imported = true, true }), byMelt(), compare.NewOptions())
	has(t, words(&one, si.US), "CAUTION: the peak of the bar was read off a dial by eye.", "CAUTION: the readings of the bar are an imported table.")

	o := compare.NewOptions()
	o.Minimum = 44 * si.KSI
	under := compare.Of(worked("M1"), byMelt(), o)
	has(t, words(&under, si.US), "1 of 5 bars is under it.")

	// What was typed stays, in the units it was typed in.
	for v, want := range map[si.Stress]string{
		38.123 * si.KSI: "Minimum 38.123 ksi: ", 39.5 * si.KSI: "Minimum 39.5 ksi: ", 38 * si.KSI: "Minimum 38.0 ksi: ", 273 * si.Megapascal: "Minimum 273 MPa: ",
	} {
		o.Minimum = v
		c := compare.Of(worked("M1"), byMelt(), o)
		has(t, words(&c, si.US), want)
	}

	// The rig may be off by more than there is, and the bound lies below zero: there
	// is nothing before it that "that" could mean.
	c := compare.Of(each(bars("M1", 1, 2, 3), func(_ int, p *compare.Pull) { p.Common = 11 * si.KSI }), byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "lies below zero. More bars do not help, since what the rig itself may be off is the larger part: calibrate the rig.")
}
