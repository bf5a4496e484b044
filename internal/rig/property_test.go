package rig

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"draghand/internal/si"
)

// agree is the tolerance between two ways to one figure: a handful of roundings.
const agree = 1e-9

// drawRig writes a rig file of drawn figures.
func drawRig(t *rapid.T) string {
	f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	role := rapid.SampledFrom([]string{"sensor", "actuator"}).Draw(t, "role")
	push := rapid.SampledFrom([]string{"up", "down"}).Draw(t, "push")
	bearing := rapid.SampledFrom([]string{"bearing = \"ball\"", "bearing = \"flat\"\nbearing_width = \"10 mm\""}).Draw(t, "bearing")
	return file(tables{
		"ram": fmt.Sprintf("area = \"%.6f cm² ± %.3f %%\"\nrole = %q\nfriction = \"%.5f ± %.5f\"\nrated_force = \"%.3f kN\"",
			f("area", 1, 200), f("area tol", 0, 5), role, f("friction", 0, 0.2), f("band", 0, 0.1), f("rated", 10, 2000)),
		"path": fmt.Sprintf("kind = \"two-sided\"\nspecimen_arm = \"%.4f mm ± 0.5 mm\"\nfar_arm = \"%.4f mm ± 1 mm\"\n%s\nweight = \"%.3f N\"\nram_pushes = %q",
			f("arm", 30, 400), f("far", 30, 400), bearing, f("weight", 0, 500), push),
		"limits": fmt.Sprintf("[[limit]]\nname = \"bar\"\nkind = \"rated\"\nat = \"specimen\"\nforce = \"%.3f kN\"\ndesign_factor = %.3f\n"+
			"[[limit]]\nname = \"far bar\"\nkind = \"rated\"\nat = \"far\"\nforce = \"%.3f kN\"\n"+
			"[[limit]]\nname = \"over the ram\"\nkind = \"bar\"\nat = \"ram\"\nsection = \"round\"\ndiameter = \"%.3f mm\"\nmin_yield = \"355 MPa\"\nstrength_from = \"minimum\"\ndesign_factor = %.3f\n"+
			"[[limit]]\nname = \"side pins\"\nkind = \"pin\"\nat = \"sides\"\nshear = \"double\"\ndiameter = \"%.3f mm\"\nouter = \"12 mm\"\ninner = \"20 mm\"\ngap = \"1 mm\"\nmin_yield = \"355 MPa\"\nstrength_from = \"minimum\"\ndesign_factor = 2\n"+
			"[[limit]]\nname = \"hose\"\nkind = \"pressure\"\npressure = \"%.3f bar\"\n",
			f("force", 1, 500), f("factor", 1, 4), f("far force", 1, 500), f("bar", 20, 200), f("bar factor", 1, 4), f("pin", 8, 60), f("hose", 10, 1000)),
	})
}

// TestLimitsAgree: a limit is the same limit whether it is asked for by ram
// force, specimen force or gauge pressure, and its unsafe edge never lies above
// the best estimate.
func TestLimitsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, err := Parse("drawn.toml", []byte(drawRig(t)))
		if err != nil {
			t.Fatal(err)
		}
		c := r.Chain()
		ratio := rapid.Float64Range(0.05, 1.5).Draw(t, "ratio")
		for _, b := range r.Bounds() {
			p := b.PressureAt(ratio)
			if got := b.Ratio(p, p); !near(got, ratio, agree) {
				t.Errorf("%s: Ratio(PressureAt(%v)) = %v", b.Limit.Name, ratio, got)
			}
			// by ram force and by specimen force to the same pressure
			if got := c.PressureForRam(c.Ram(p)); !near(float64(got), float64(p), agree) {
				t.Errorf("%s: by ram force %v, want %v", b.Limit.Name, got, p)
			}
			if got := c.PressureForSpecimen(c.Specimen(p)); !near(float64(got), float64(p), agree) {
				t.Errorf("%s: by specimen force %v, want %v", b.Limit.Name, got, p)
			}
			// What comes to the far side is what the specimen leaves. Below no
			// pressure at all (a weight that alone exceeds the ratio) the largest
			// friction is no unsafe edge, and nothing is loaded by oil.
			carried := map[Place]si.Force{
				AtRam:      c.Ram(p),
				AtSpecimen: c.Specimen(p),
				AtFar:      c.Ram(p) - r.Path.lost() - c.Specimen(p),
			}
			carried[AtSides] = max(carried[AtSpecimen], carried[AtFar])
			if f, ok := carried[b.Limit.At]; ok && f > 0 && p > 0 && float64(f) > b.Load(p, p)*(1+agree) {
				t.Errorf("%s: the unsafe edge %v N is below the best estimate %v", b.Limit.Name, b.Load(p, p), f)
			}
		}
	})
}

// TestAllowablesAgree: each limit's allowable is one moment, whether it is asked
// for by gauge pressure, by ram force or by specimen force; the part's own load
// is then its allowable; and a higher design factor never raises any of them.
func TestAllowablesAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, err := Parse("drawn.toml", []byte(drawRig(t)))
		if err != nil {
			t.Fatal(err)
		}
		c := r.Chain()
		for i, b := range r.Nearest() {
			a := r.Derive(si.Metric).Limits[i]
			p := a.Allowed.Gauge
			if got := b.Load(p, p); !near(got, float64(a.Allowable)+float64(a.AllowableP), agree) {
				t.Errorf("%s: carries %v at its allowable of %v", a.Name, got, a.Allowable)
			}
			if got := c.PressureForRam(a.Allowed.Ram); !near(float64(got), float64(p), agree) {
				t.Errorf("%s: by ram force at %v, want %v", a.Name, got, p)
			}
			if got := c.PressureForSpecimen(a.Allowed.Specimen); !near(float64(got), float64(p), agree) {
				t.Errorf("%s: by specimen force at %v, want %v", a.Name, got, p)
			}
			if m, ok := b.Limit.Governing(); ok != a.Kind.Computed() || m.Name != a.Governing || ok && m.Capacity != b.Limit.Force {
				t.Errorf("%s: governed by %q at %v, its capacity is %v", a.Name, m.Name, m.Capacity, b.Limit.Force)
			}
		}
		before := map[string]DerivedLimit{}
		for _, a := range r.Derive(si.Metric).Limits {
			before[a.Name] = a
		}
		by := rapid.Float64Range(1, 10).Draw(t, "by")
		for i := range r.Limits {
			r.Limits[i].Factor *= by
		}
		for _, a := range r.Derive(si.Metric).Limits {
			if was := before[a.Name]; a.Allowable > was.Allowable || a.AllowableP > was.AllowableP ||
				a.Allowed.Gauge > was.Allowed.Gauge || a.Allowed.Ram > was.Allowed.Ram || a.Allowed.Specimen > was.Allowed.Specimen {
				t.Errorf("%s: a factor %v times higher raises %+v to %+v", a.Name, by, was, a)
			}
		}
	})
}

// TestWorstArms: the share's limit of error holds over a grid of arms and
// contact points within theirs.
func TestWorstArms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := si.Length(rapid.Float64Range(0.05, 0.3).Draw(t, "specimen"))
		f := si.Length(rapid.Float64Range(0.05, 0.3).Draw(t, "far"))
		ds := si.Length(rapid.Float64Range(0, 0.005).Draw(t, "ds"))
		df := si.Length(rapid.Float64Range(0, 0.005).Draw(t, "df"))
		share, tol := shareOf(s, ds, f, df, 0)
		for _, i := range []si.Length{-1, -0.3, 0, 0.5, 1} {
			for _, j := range []si.Length{-1, -0.6, 0, 0.2, 1} {
				got := float64(f+j*df) / float64(s+i*ds+f+j*df)
				if math.Abs(got-share) > tol+agree {
					t.Errorf("share %v is outside %v ± %v", got, share, tol)
				}
			}
		}
	})
}
