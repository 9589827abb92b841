// Package moves plans where herds stand on the coming days: never in a paddock
// that is not CLEAR for all their classes on that day, never two herds in one
// paddock, never beyond the feed that was measured. It decides no flag; it only
// reads them.
package moves
