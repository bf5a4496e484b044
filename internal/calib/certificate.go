package calib

import (
	"regexp"
	"strings"
	"time"
)

// oldCertificate is how old a certificate may be at the points before that is a
// remark. Common practice has references calibrated anew after one to two years and
// two months; no standard says so of a borrowed cell.
const oldCertificate = 2 // years

// certified is the last day that stands in the words of a certificate, written as
// 2026-03-01; false where none does.
func certified(words string) (day time.Time, ok bool) {
	for _, t := range regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`).FindAllString(words, -1) {
		if d, err := time.Parse(time.DateOnly, t); err == nil && (!ok || d.After(day)) {
			day, ok = d, true
		}
	}
	return day, ok
}

// certificateFuture says that the certificate is dated after the points.
func (k *reckoner) certificateFuture() bool {
	day, ok := certified(k.run.Reference.Certificate)
	return ok && day.After(k.run.Made.AddDate(0, 0, 1)) // a day may have begun elsewhere
}

// remarkCertificate is about the date of the certificate.
func (k *reckoner) remarkCertificate(add func(string, ...any)) {
	day, ok := certified(k.run.Reference.Certificate)
	switch {
	case !ok:
	case k.certificateFuture():
		add("the certificate is dated %s, after the points were taken: it says nothing of the reference then, and no class is stated", day.Format(time.DateOnly))
	case day.AddDate(oldCertificate, 0, 0).Before(k.run.Made):
		add("the certificate is of %s, more than %d years before the points: the reference may have changed since", day.Format(time.DateOnly), oldCertificate)
	}
}

// massOf says what to write in the place of a mass; empty where a unit is none.
func massOf(unit string) string {
	switch strings.ToLower(strings.TrimSpace(unit)) {
	case "kg", "g", "t", "lb", "lbs":
		return "its weight: mass times local gravity, 100 kg are about 981 N; kgf or lbf where standard gravity will do"
	}
	return ""
}
