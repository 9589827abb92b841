package rules

import "rimegate/hazard"

// Publication is what one publication says of prussic acid.
type Publication struct {
	hazard.Source
}

// Publications returns them sorted by id.
func Publications() []Publication { return append([]Publication(nil), embedded().pubs...) }

func (r *reader) readPublication(*doc) {}
