package shelf

import "strings"

// meant is the field that was probably meant by a name there is none of; empty where
// nothing is near. A beginning will do, or a letter wrong, of long names two.
func meant(name string) field {
	name = strings.ToLower(name)
	if len(name) < 3 || len(name) > 20 {
		return anyWord
	}
	best, least := anyWord, 3
	for _, f := range fieldNames() {
		d := apart(name, f)
		if strings.HasPrefix(f, name) || strings.HasPrefix(name, f) && len(f) > 2 {
			d = 0
		}
		if d < least && (d < 2 || min(len(name), len(f)) > 4) {
			best, least = field(f), d
		}
	}
	return best
}

// apart is how many letters lie between two short words: changed, added, dropped, or
// two neighbours changed over.
func apart(a, b string) int {
	rows := [3][]int{make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		older, old, row := rows[(i+1)%3], rows[(i+2)%3], rows[i%3]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(old[j-1]+cost, old[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], older[j-2]+1)
			}
		}
	}
	return rows[len(a)%3][len(b)]
}

// linking says that a bare word is one that people part terms with. It would be looked
// for, and hardly anything has it.
func linking(word string) bool { return word == "or" || word == "and" }
