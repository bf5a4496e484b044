package sheet

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// The words headers use, by role: English, German, French, Spanish, Italian and
// Portuguese trade words (common practice, no source). A word is compared whole;
// one that begins with "*" also as the end of a longer one (Prüfkraft).
var roleWords = []struct {
	role  Role
	words string
}{
	// What a machine was told to do is no measurement.
	{Other, "setpoint set-point soll sollwert *sollwert *sollkraft consigne target command demand limit rate speed velocity *geschwindigkeit status remark note comment index no cycle segment temperature temp *temperatur"},
	{Strain, "strain *dehnung deformation déformation deformación deformazione deformação extensometer epsilon"},
	{Stress, "stress *spannung contrainte tensione tensão esfuerzo"},
	{Travel, "displacement travel crosshead stroke extension deflection position separation elongation *weg traverse *traverse hub verlängerung déplacement deplacement course allongement desplazamiento recorrido carrera spostamento corsa deslocamento"},
	{Time, "time elapsed timestamp *zeit temps tiempo tempo t"},
	{Pressure, "pressure *druck pression presión presion pressione pressão"},
	{Force, "force load *kraft *last effort charge fuerza carga forza carico força forca kracht f"},
	{Raw, "raw counts adc roh rohwert"},
}

// nameWords cuts a name into lower-case words.
func nameWords(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return !unicode.IsLetter(r) && r != '-'
	})
}

// roleOf reads a role from the words of a name; "" where none is known.
func roleOf(name string) Role {
	words := nameWords(name)
	for _, rw := range roleWords {
		for want := range strings.FieldsSeq(rw.words) {
			tail, isTail := strings.CutPrefix(want, "*")
			for _, w := range words {
				if w == tail || isTail && len(w) > len(tail) && strings.HasSuffix(w, tail) {
					return rw.role
				}
			}
		}
	}
	return ""
}

// cutUnit takes the unit off a name: in brackets, after a stroke, after "in", or
// as the last part of a name such as force_kN.
func cutUnit(name string) (rest, unit string, k kind) {
	if n := len(name); n > 2 && (name[n-1] == ')' || name[n-1] == ']') {
		open := byte('(')
		if name[n-1] == ']' {
			open = '['
		}
		if i := strings.LastIndexByte(name, open); i >= 0 {
			unit, k = readUnit(name[i:])
			if k == noKind {
				unit = trim(name[i+1 : n-1])
			}
			return trim(name[:i]), unit, k
		}
	}
	for _, sep := range []string{" / ", " in ", ", ", "/", "_", " "} {
		i := strings.LastIndex(name, sep)
		if i <= 0 {
			continue
		}
		tail := name[i+len(sep):]
		if sep == " " && (tail == "in" || tail == "m" || tail == "min" || len(tail) == 1 && tail != "N" && tail != "s") {
			continue // a word as well as a unit
		}
		if unit, k = readUnit(tail); k != noKind {
			return trim(name[:i]), unit, k
		}
	}
	return name, "", noKind
}

// columns reads the header into columns with unit and guessed role.
func (l *layout) columns() []Column {
	n := max(l.width, len(l.headerCells))
	out := make([]Column, n)
	for i := range out {
		c := Column{Index: i}
		var k kind
		if i < len(l.headerCells) {
			c.Name, c.Unit, k = cutUnit(trim(l.headerCells[i]))
		}
		if i < len(l.unitCells) && l.unitCells[i] != "" && !noValue(l.unitCells[i]) {
			c.Unit, k = readUnit(l.unitCells[i])
			if k == noKind {
				c.Unit = trim(strings.Trim(trim(l.unitCells[i]), "()[]"))
			}
		}
		c.Role = guess(c.Name, c.Unit, k)
		out[i] = c
	}
	return out
}

// guess joins what the words and the unit say. A known unit wins, since a
// length is never a force; a set point stays none whatever its unit.
func guess(name, unit string, k kind) Role {
	words := roleOf(name)
	if unit != "" && k == noKind && len(name) == 1 { // T in °C is no time
		return Other
	}
	if k == noKind || words == Other || words != "" && words.fits(k) {
		if words == "" {
			return Other
		}
		return words
	}
	switch k {
	case ofTime:
		return Time
	case ofForce:
		return Force
	case ofPressure:
		if words == Strain || words == Travel {
			return Other
		}
		return Stress
	case ofLength:
		return Travel
	case ofShare:
		return Strain
	}
	return Other
}

// find gives the column an option names, by number or by name.
func find(cols []Column, header []string, name string) (int, error) {
	name = trim(name)
	if n, err := strconv.Atoi(name); err == nil {
		if n < 1 || n > len(cols) {
			return 0, doubt("choose 1 to "+strconv.Itoa(len(cols)), "there is no column %d", n)
		}
		return n - 1, nil
	}
	at := -1
	for pass := range 3 { // as written, then without its unit, then without case
		for i, c := range cols {
			full := ""
			if i < len(header) {
				full = trim(header[i])
			}
			if pass == 0 && full == name || pass == 1 && c.Name == name || pass == 2 && (strings.EqualFold(c.Name, name) || strings.EqualFold(full, name)) {
				if at >= 0 {
					return 0, doubt("name it by its number", "%q names more than one column: %s", name, list(cols))
				}
				at = i
			}
		}
		if at >= 0 {
			return at, nil
		}
	}
	return 0, doubt("name one of these, or its number", "there is no column %q: there are %s", name, list(cols))
}

// list shows the columns with their numbers.
func list(cols []Column) string {
	var b strings.Builder
	for i, c := range cols {
		if i == MaxEvidence {
			fmt.Fprintf(&b, ", and %d more", len(cols)-i)
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%d", c.Index+1)
		if c.Name != "" {
			fmt.Fprintf(&b, " %q", cutText(c.Name))
		}
		if c.Unit != "" {
			fmt.Fprintf(&b, " in %s", cutText(c.Unit))
		}
	}
	return b.String()
}

// assign settles which column is the time and which the load.
func assign(t *Table, l *layout, o Options) error {
	cols := t.Columns
	t.TimeColumn, t.LoadColumn = -1, -1
	for _, role := range roles {
		name, ok := o.Columns[role]
		if !ok {
			continue
		}
		i, err := find(cols, l.headerCells, name)
		if err != nil {
			return err
		}
		if cols[i].Given {
			return doubt("give each its own", "--column gives %s two roles", cols[i].Title())
		}
		if role == Time && o.Rate > 0 {
			return doubt("leave one of them out", "--rate takes the place of the time column, and --column names one")
		}
		cols[i].Given = true
		if !role.loads() {
			cols[i].Role = role
			if role == Time {
				t.TimeColumn = i
			}
			continue
		}
		if t.LoadColumn >= 0 {
			return doubt("name one", "--column names more than one load")
		}
		// "force" names the load whatever it is in: the unit says the rest.
		if !cols[i].Role.loads() || role != Force {
			cols[i].Role = role
		}
		t.LoadColumn = i
	}
	var err error
	if t.TimeColumn < 0 && o.Rate <= 0 {
		if t.TimeColumn, err = only(cols, Time); err != nil {
			return err
		}
		if t.TimeColumn < 0 {
			return doubt("write --column time=NAME if one of them is the time, or --rate HZ for so many rows a second", "no column of times was found: there are %s", list(cols))
		}
	}
	if t.LoadColumn < 0 {
		wanted := []Role{Force, Stress}
		if o.Load != "" && o.Load != Force {
			wanted = []Role{o.Load}
			if o.Load == Pressure { // a unit alone does not tell them apart
				wanted = append(wanted, Stress)
			}
		}
		for _, role := range wanted {
			if t.LoadColumn, err = only(cols, role); err != nil {
				return err
			}
			if t.LoadColumn >= 0 {
				break
			}
		}
		if t.LoadColumn < 0 {
			return doubt("write --column force=NAME for the one that is", "no column of %s was found: there are %s", wanted[0], list(cols))
		}
		if o.Load == Pressure {
			cols[t.LoadColumn].Role = Pressure
		}
	}
	if t.TimeColumn == t.LoadColumn {
		return doubt("name another with --column", "%s is both the time and the load", cols[t.TimeColumn].Title())
	}
	return units(t, o)
}

// roles in the order options are read.
var roles = []Role{Time, Force, Pressure, Stress, Raw, Travel, Strain, Other}

// only gives the one column of a role, −1 where there is none.
func only(cols []Column, role Role) (int, error) {
	at, many := -1, []Column(nil)
	for i, c := range cols {
		if c.Role == role {
			at, many = i, append(many, c)
		}
	}
	if len(many) > 1 {
		word := role
		if role.loads() {
			word = Force
		}
		return -1, doubt(fmt.Sprintf("write --column %s=%d for the right one", word, many[0].Index+1), "more than one column may be the %s: %s", role, list(many))
	}
	return at, nil
}

// units settles the units, by the options first.
func units(t *Table, o Options) error {
	for _, role := range roles {
		text, ok := o.Units[role]
		if !ok {
			continue
		}
		unit, k := readUnit(text)
		if k == noKind && role != Other && role != Raw {
			return doubt("write it as in --unit force=kN, --unit time=s", "--unit %s=%s: %q is no unit known here", role, text, text)
		}
		if role.loads() {
			c := &t.Columns[t.LoadColumn]
			c.Unit = unit
			if k == noKind {
				c.Unit = text
			}
			c.Role = loadRole(*c, k)
			continue
		}
		if !role.fits(k) {
			return doubt("write it as in --unit time=s", "--unit %s=%s: %s is no unit of %s", role, text, unit, role)
		}
		found := false
		for i := range t.Columns {
			if t.Columns[i].Role == role {
				t.Columns[i].Unit, found = unit, true
			}
		}
		if !found {
			return doubt("name its column with --column", "--unit %s=%s: no column is the %s", role, text, role)
		}
	}
	load := &t.Columns[t.LoadColumn]
	k := kindOf(load.Unit)
	if load.Unit != "" && k != noKind {
		load.Role = loadRole(*load, k)
	}
	if o.Load == Pressure && load.Role == Stress { // the words and the unit do not tell, the wish does
		load.Role = Pressure
	}
	if load.Role == Raw || o.Load == Raw {
		load.Role = Raw
		return nil
	}
	if !load.Role.fits(k) {
		hint := map[Role]string{Force: "kN", Stress: "MPa", Pressure: "bar"}[load.Role]
		switch strings.ToLower(load.Unit) {
		case "kg":
			hint = "kgf"
		case "t", "to", "ton", "tons":
			hint = "tf (1000 kgf) or tonf (2000 lbf)"
		}
		if load.Unit == "" {
			return doubt("write --unit force="+hint+", or whatever it is in", "the column %q gives no unit", load.Title())
		}
		return doubt("write --unit force="+hint+" if that is meant", "%q of the column %q is no unit of %s", load.Unit, load.Title(), load.Role)
	}
	return nil
}

// loadRole is the kind of load of a unit.
func loadRole(c Column, k kind) Role {
	switch {
	case k == ofForce:
		return Force
	case k == ofPressure && c.Role == Pressure:
		return Pressure
	case k == ofPressure:
		return Stress
	case k == ofSignal:
		return Raw
	}
	return c.Role
}
