// Package board puts assessments into words, rows, JSON and CSV. It decides
// nothing: every flag, date and number comes from package hazard, and a flag
// that was never decided panics here instead of being printed.
//
// Every text that came from a person or a file passes Clean before it is put
// into a sentence; CSV cells pass CSVCell besides.
package board
