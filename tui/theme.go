package tui

import "github.com/gdamore/tcell/v2"

// Theme is how roles look. A flag is a word and a shape before it is a colour,
// so each theme may do without colours.
type Theme struct {
	Name string
	of   [numRoles]tcell.Style
}

func (t *Theme) style(r role, selected bool) tcell.Style {
	s := t.of[r]
	if selected && r != flagHold && r != flagCaution && r != flagClear && r != banner {
		s = s.Bold(true)
	}
	return s
}

var base = tcell.StyleDefault

// Mono uses attributes only: for NO_COLOR, paper terminals and bright sun.
var Mono = &Theme{
	Name: "mono",
	of: [numRoles]tcell.Style{
		title: base.Bold(true), heading: base.Underline(true),
		flagHold: base.Bold(true).Reverse(true), flagCaution: base.Bold(true).Underline(true),
		banner: base.Bold(true).Reverse(true), warning: base.Bold(true), failure: base.Bold(true).Underline(true),
		keycap: base.Bold(true), typed: base.Underline(true), typedNow: base.Reverse(true), chosen: base.Reverse(true),
	},
}

// Colour uses the terminal's own sixteen colours and no red beside green: HOLD
// is dark on magenta, CAUTION dark on yellow, CLEAR on cyan.
var Colour = coloured("colour", tcell.ColorPurple, tcell.ColorYellow, tcell.ColorTeal)

// Safe keeps apart for every kind of colour vision: the flags differ in
// lightness first, and their hues are vermilion, yellow and sky blue of the
// palette by Okabe and Ito, "Color Universal Design" (from memory).
var Safe = coloured("colour-blind safe",
	tcell.NewRGBColor(0xd5, 0x5e, 0x00), tcell.NewRGBColor(0xf0, 0xe4, 0x42), tcell.NewRGBColor(0x56, 0xb4, 0xe9))

// coloured is Mono with colours for the flags.
func coloured(name string, hold, caution, clear tcell.Color) *Theme {
	t := &Theme{Name: name, of: Mono.of}
	t.of[flagHold] = base.Background(hold).Foreground(tcell.ColorWhite).Bold(true)
	t.of[flagCaution] = base.Background(caution).Foreground(tcell.ColorBlack)
	t.of[flagClear] = base.Background(clear).Foreground(tcell.ColorBlack)
	t.of[banner], t.of[dim] = t.of[flagHold], base.Dim(true)
	t.of[warning] = base.Foreground(tcell.ColorYellow).Bold(true)
	t.of[failure] = t.of[warning]
	return t
}

// themes in the order in which the key goes through them.
var themes = []*Theme{Colour, Safe, Mono}
