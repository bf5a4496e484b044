package strength

import "draghand/internal/budget"

// budgetFor is the table of what the strength's doubt is made of; nil where nothing
// is known of it.
func budgetFor(p Pull) *budget.Budget {
	_ = peakDoubt(p)
	return nil
}
