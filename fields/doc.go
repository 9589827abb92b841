// Package fields holds what a farm is made of and what happened on it:
// paddocks, stands, stations, herds, lots, and the journal's entries, with
// dates, nights and quantities in units. A History is a fold over entries.
//
// The package knows no files, no clock and no screens; it imports only the
// standard library.
package fields
