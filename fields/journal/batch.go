package journal

import "time"

// NewBatch makes the id that the entries of one import carry.
func NewBatch(at time.Time) string { return newID(at) }
