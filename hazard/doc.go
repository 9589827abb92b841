// Package hazard decides: from a history, a rulebook and a moment it derives,
// for each paddock or lot, use and class of stock, a flag with its reasons.
// It is pure: no files, no clock, no network, and no dependence on the order
// in which entries arrived or maps are walked.
//
// Two sentences rule over everything in here. CLEAR is earned, never the
// default. More bad news never makes a flag better.
package hazard
