package record

import (
	"encoding/json"
	"strconv"
)

// str takes a string; null leaves the old.
func (p *sifter) str(old string) string {
	if p.null() {
		return old
	}
	if p.blank() != '"' {
		p.fail()
		return old
	}
	at := p.i
	if p.text() {
		return string(p.b[at+1 : p.i-1])
	}
	var s string
	if p.bad || json.Unmarshal(p.b[at:p.i], &s) != nil {
		p.fail()
	}
	return s
}

// float takes a number; null is nil.
func (p *sifter) float() *float64 {
	if p.null() {
		return nil
	}
	if c := p.blank(); c != '-' && (c < '0' || c > '9') {
		p.fail()
		return nil
	}
	v, err := strconv.ParseFloat(string(p.raw()), 64)
	if p.bad || err != nil {
		p.fail()
		return nil
	}
	return &v
}

// into takes a value as encoding/json does.
func (p *sifter) into(v any) {
	if raw := p.raw(); p.bad || json.Unmarshal(raw, v) != nil {
		p.fail()
	}
}

// count takes an array of values that begin with kind, or null, and counts them; null
// is none.
func (p *sifter) count(kind byte) (n int) {
	if p.null() {
		return 0
	}
	p.array(func() {
		if c := p.blank(); c != kind && c != 'n' {
			p.fail()
			return
		}
		p.skip()
		n++
	})
	return n
}

// there takes an object or null, and says which.
func (p *sifter) there() bool {
	if p.null() {
		return false
	}
	if p.blank() != '{' {
		p.fail()
	}
	p.skip()
	return true
}
