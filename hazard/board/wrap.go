package board

// Wrap breaks clean text at spaces into lines of at most width cells, never
// inside a date or between a number and its unit. The first line begins with
// first, the others with rest; both count.
func Wrap(text, first, rest string, width int) []string { return wrap(text, first, rest, width) }
