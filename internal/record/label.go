package record

// Label is what a record is called by people: it may be wrong at first.
type Label struct {
	ID   string   // of the specimen
	Melt string   // it was turned from
	Tags []string // free words that serve as groups
}
