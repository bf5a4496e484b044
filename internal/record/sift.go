package record

// sifter walks once over a JSON text and takes out the few values that are asked
// for. A list reads ten thousand heads of some 10 kB each, of which it wants a
// twentieth: encoding/json looks at every byte several times over and is most of
// that time.
//
// It is strict where it is unsure: what is no JSON, and what encoding/json takes in a
// way of its own (a field's name in other letters, a value of another type), sets bad,
// and the text is then read by encoding/json, which has the last word. What is not bad
// at the end, with done, is valid JSON.
type sifter struct {
	b     []byte
	i     int
	depth int
	bad   bool
}

// siftDepth bounds how deep a text may nest. Heads of ours go some six deep.
const siftDepth = 64

// blank skips white space and gives the byte that follows; 0 at the end.
func (p *sifter) blank() byte {
	for ; p.i < len(p.b); p.i++ {
		switch c := p.b[p.i]; c {
		case ' ', '\n', '\t', '\r':
		default:
			return c
		}
	}
	return 0
}

// fail gives the text up.
func (p *sifter) fail() { p.bad, p.i = true, len(p.b) }

// done says that the whole text was one good value.
func (p *sifter) done() bool { return p.blank() == 0 && !p.bad && p.i == len(p.b) }

// object walks over an object. field is called at each value and takes it with one
// of the methods below. Something else than an object is bad.
func (p *sifter) object(field func(key []byte)) {
	p.items('{', '}', func() {
		if p.blank() != '"' {
			p.fail()
			return
		}
		at := p.i + 1
		if !p.text() {
			p.fail() // a name with an escape, or beyond ASCII
			return
		}
		key := p.b[at : p.i-1]
		if p.blank() != ':' {
			p.fail()
			return
		}
		p.i++
		field(key)
	})
}

// array walks over an array; each takes a value. Something else is bad.
func (p *sifter) array(each func()) { p.items('[', ']', each) }

func (p *sifter) items(open, end byte, item func()) {
	if p.depth++; p.depth > siftDepth || p.blank() != open {
		p.fail()
		return
	}
	p.i++
	if p.blank() == end {
		p.i++
		p.depth--
		return
	}
	for !p.bad {
		item()
		switch p.blank() {
		case ',':
			p.i++
		case end:
			p.i++
			p.depth--
			return
		default:
			p.fail()
		}
	}
}

// raw takes any value and gives its text.
func (p *sifter) raw() []byte {
	c := p.blank()
	at := p.i
	switch {
	case c == '"':
		p.text()
	case c == '{':
		p.items('{', '}', p.member)
	case c == '[':
		p.items('[', ']', p.skip)
	case c == '-' || c >= '0' && c <= '9':
		p.number()
	case c == 't':
		p.word("true")
	case c == 'f':
		p.word("false")
	case c == 'n':
		p.word("null")
	default:
		p.fail()
	}
	if p.bad {
		return nil
	}
	return p.b[at:p.i]
}

// skip takes any value.
func (p *sifter) skip() { p.raw() }

// member takes one member of an object whose fields nobody asks for.
func (p *sifter) member() {
	if p.blank() != '"' {
		p.fail()
		return
	}
	p.text()
	if p.blank() != ':' {
		p.fail()
		return
	}
	p.i++
	p.skip()
}

// null takes a null, where one is there.
func (p *sifter) null() bool {
	if p.blank() != 'n' {
		return false
	}
	p.word("null")
	return true
}

func (p *sifter) word(w string) {
	if len(p.b)-p.i < len(w) || string(p.b[p.i:p.i+len(w)]) != w {
		p.fail()
		return
	}
	p.i += len(w)
}

// text takes a string, and says whether it is plain: what stands between its quotes
// is what it means.
func (p *sifter) text() (plain bool) {
	plain = true
	for i := p.i + 1; i < len(p.b); i++ {
		switch c := p.b[i]; {
		case c == '"':
			p.i = i + 1
			return plain
		case c < ' ':
			p.fail()
			return false
		case c >= 0x80:
			plain = false
		case c == '\\':
			plain = false
			i++
			if i >= len(p.b) {
				break
			}
			switch p.b[i] {
			case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
			case 'u':
				for range 4 {
					if i++; i >= len(p.b) || !hexDigit(p.b[i]) {
						p.fail()
						return false
					}
				}
			default:
				p.fail()
				return false
			}
		}
	}
	p.fail()
	return false
}

func hexDigit(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'f' || c >= 'A' && c <= 'F'
}

// number takes a number as JSON writes it.
func (p *sifter) number() {
	i := p.i
	at := func() byte {
		if i < len(p.b) {
			return p.b[i]
		}
		return 0
	}
	digits := func() bool {
		from := i
		for c := at(); c >= '0' && c <= '9'; c = at() {
			i++
		}
		return i > from
	}
	if at() == '-' {
		i++
	}
	ok := true
	if at() == '0' {
		i++
	} else {
		ok = digits()
	}
	if at() == '.' {
		i++
		ok = digits() && ok
	}
	if c := at(); c == 'e' || c == 'E' {
		i++
		if c := at(); c == '+' || c == '-' {
			i++
		}
		ok = digits() && ok
	}
	if !ok {
		p.fail()
		return
	}
	p.i = i
}
