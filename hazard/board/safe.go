package board

import (
	"slices"
	"strings"
	"unicode"

	"github.com/rivo/uniseg"

	"rimegate/fields/lazy"
)

// maxMarks is how many combining marks in a row are kept. Written languages
// stack four at most; towers of hundreds are only meant to spoil a page.
const maxMarks = 8

// Clean makes text from people and files fit for a terminal, a page or a data
// file: escape sequences go as a whole, control and formatting characters
// (bidirectional overrides, zero-width and blank fillers, byte order marks)
// are dropped, line ends and every other kind of space become one plain space,
// bytes that are no UTF-8 become U+FFFD. Letters of every script, combining
// marks, symbols and the two joiners that some scripts need are kept. Square
// brackets are kept too: escaping them is the screens' own business.
func Clean(s string) string {
	if plain(s) {
		return s
	}
	s = escapes().ReplaceAllString(s, "")
	var b strings.Builder
	gap, marks, joiner := false, 0, rune(0)
	for _, r := range s { // bytes that are no UTF-8 arrive as U+FFFD
		if unicode.IsSpace(r) || unicode.Is(unicode.Z, r) {
			gap, joiner = b.Len() > 0, 0
			continue
		}
		if r == '\u200c' || r == '\u200d' {
			joiner = r // kept only between two visible characters
			continue
		}
		if !unicode.IsPrint(r) || blank(r) {
			continue
		}
		if unicode.Is(unicode.M, r) {
			marks++
			if marks > maxMarks {
				continue
			}
		} else {
			marks = 0
		}
		if gap {
			b.WriteByte(' ')
			gap = false
		}
		if joiner != 0 && b.Len() > 0 {
			b.WriteRune(joiner)
		}
		joiner = 0
		b.WriteRune(r)
	}
	return b.String()
}

// plain reports whether s is printable ASCII without space runs: nearly every
// text is, and needs no work.
func plain(s string) bool {
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c < ' ' || c > '~' {
			return false
		}
		if c == ' ' && (i == 0 || i == len(s)-1 || s[i+1] == ' ') {
			return false
		}
	}
	return true
}

// blank are characters that count as letters or symbols but show nothing.
func blank(r rune) bool {
	switch r {
	case '\u115f', '\u1160', '\u3164', '\uffa0', '\u2800', '\u034f', '\u17b4', '\u17b5':
		return true
	}
	return r >= '\ufe00' && r <= '\ufe0f' || r >= 0xe0100 && r <= 0xe01ef // variation selectors
}

// escapes are terminal escape sequences (ECMA-48), both with ESC and with the
// one-character C1 forms: control sequences, strings up to their end, and the
// rest. An unfinished string takes the rest of the text with it, as a terminal
// would.
var escapes = lazy.Regexp(`(?:\x1b\[|\x{9b})[ -?]*[@-~]?` +
	`|(?s:(?:\x1b[P^_X\]]|[\x{90}\x{98}\x{9d}-\x{9f}]).*?(?:\x07|\x{9c}|\x1b\\|\z))` +
	`|\x1b(?:[ -/]+[0-~]?|[0-~])?`)

// Width returns the cells a terminal gives to clean text.
func Width(s string) int {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return uniseg.StringWidth(s)
		}
	}
	return len(s)
}

// Cut shortens s to at most cells wide, never through a character, and marks
// the cut with "~". It also cleans.
func Cut(s string, cells int) string {
	s = Clean(s)
	if Width(s) <= cells {
		return s
	}
	if cells <= 0 {
		return ""
	}
	head, _ := split(s, cells-1)
	return head + "~"
}

// split divides s after the most whole characters that fit into cells.
func split(s string, cells int) (head, rest string) {
	rest = s
	used, state := 0, -1
	for len(rest) > 0 {
		var c string
		var w int
		next := rest
		c, next, w, state = uniseg.FirstGraphemeClusterInString(next, state)
		if used+w > cells {
			break
		}
		used += w
		head += c
		rest = next
	}
	return head, rest
}

// CSVCell makes text from people fit for a cell of a CSV file. Spreadsheets
// take a cell that begins with = + - @ (or their full-width forms) for a
// formula, whatever quotes stand around it; such a cell gets an apostrophe in
// front, which spreadsheets show as text. Programs that opened the file with
// semicolons as separators would see a new cell after every semicolon, so a
// formula sign behind one gets an apostrophe too. Tabs and line ends are
// already gone: CSVCell cleans first. Numbers of ours do not pass through here.
func CSVCell(s string) string {
	s = Clean(s)
	var b strings.Builder
	start := true
	for _, r := range s {
		if start {
			switch r {
			case '=', '+', '-', '@', '＝', '＋', '－', '＠', '\'':
				// A leading apostrophe is doubled, so that taking one away gives
				// the text back.
				b.WriteByte('\'')
			}
		}
		start = r == ';' || start && (r == ' ' || r == '"') && b.Len() > 0
		b.WriteRune(r)
	}
	return b.String()
}

// unbroken splits text at spaces, except inside a date ("Fri 25 Sep") and
// between a number and its unit: half a date at a line's end is misread.
func unbroken(text string) []string {
	words := strings.Fields(text)
	out := words[:0:0]
	for _, w := range words {
		if n := len(out); n > 0 && glued(out[n-1], w) {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

func glued(a, b string) bool {
	digit := func(c byte) bool { return c >= '0' && c <= '9' }
	if slices.Contains(weekdays, strings.TrimLeft(a, "(")) {
		return digit(b[0])
	}
	b = strings.TrimRight(b, ").,;:")
	if month := a[max(0, len(a)-3):]; slices.Contains(monthWords, month) {
		return len(b) == 4 && digit(b[0]) && digit(b[3])
	}
	return len(a) <= 8 && digit(a[len(a)-1]) && (slices.Contains(unitWords, b) || slices.Contains(monthWords, b))
}

var (
	weekdays   = strings.Fields("Mon Tue Wed Thu Fri Sat Sun")
	monthWords = strings.Fields("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec")
	unitWords  = strings.Fields("cm in mm ft m °C °F % ppm ha ac kg lb t kg/ha lb/ac day days mg step steps")
)

// Wrap breaks clean text at spaces into lines of at most width cells, never inside
// a date or between a number and its unit. The first
// line begins with first, the others with rest; both count. A word wider than
// a line is broken between characters.
func Wrap(text, first, rest string, width int) []string {
	var out []string
	line, used, empty := first, Width(first), true
	flush := func() {
		out = append(out, strings.TrimRight(line, " "))
		line, used, empty = rest, Width(rest), true
	}
	for _, word := range unbroken(text) {
		w := Width(word)
		if !empty && used+1+w > width {
			flush()
		}
		for empty && used+w > width {
			room := max(width-used, 2) // a wide character needs two
			head, tail := split(word, room)
			if head == "" || tail == "" {
				break
			}
			line += head
			flush()
			word, w = tail, Width(tail)
		}
		if !empty {
			line += " "
			used++
		}
		line += word
		used += w
		empty = false
	}
	if !empty || len(out) == 0 {
		flush()
	}
	return out
}
