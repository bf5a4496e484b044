package compare

import "strings"

// What a person at the program is told to type. A page is for others, who have none.
const (
	resultsHave = "; draghand results has them"
	finishTakes = ": draghand finish takes where it broke and how it looks, and may rule a bar out"
	checkSays   = ": draghand check says what is intact"
	enterAgain  = ": enter it again with --outcome broken or let-off, or say where the bar broke"
	finishTells = ": where the bar broke tells it"
	typeFinish  = ": draghand finish "
	typeLabel   = " (draghand label)"
)

// OnPage is a text of a comparison as it stands on a page: without what to type.
func OnPage(text string) string {
	text = strings.NewReplacer(
		resultsHave, "; they stand with each bar",
		finishTakes, ": where it broke and how it looks may rule a bar out",
		checkSays, "", enterAgain, "", finishTells, "", typeLabel, "",
	).Replace(text)
	text, _, _ = strings.Cut(text, typeFinish) // of one record
	return text
}
