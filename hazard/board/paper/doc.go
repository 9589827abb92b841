// Package paper makes printed pages of the models of package board: HTML of one file
// and PDF. It decides nothing and says nothing of its own; what the models hold is
// clean already, and is escaped here for the page it goes on.
//
// A page has no script, loads nothing, and is the same bytes for the same model.
package paper
