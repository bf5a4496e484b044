package shelf

// Trashed is what one call of Trash moved, so that it can be taken back.
type Trashed struct {
	Moved []Moved
}

// Moved is one record in the trash.
type Moved struct {
	From, To string // its folder before and now
}
