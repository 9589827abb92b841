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
		plain: base, dim: base, title: base.Bold(true), heading: base.Underline(true),
		flagHold: base.Bold(true).Reverse(true), flagCaution: base.Bold(true).Underline(true), flagClear: base,
		banner: base.Bold(true).Reverse(true), warning: base.Bold(true), failure: base.Bold(true).Underline(true),
		keycap: base.Bold(true), typed: base.Underline(true), typedNow: base.Reverse(true), chosen: base.Reverse(true),
	},
}

// Colour uses the terminal's own sixteen colours and no red beside green: HOLD
// is dark on magenta, CAUTION dark on yellow, CLEAR on cyan.
var Colour = &Theme{
	Name: "colour",
	of: [numRoles]tcell.Style{
		plain: base, dim: base.Dim(true), title: base.Bold(true), heading: base.Underline(true),
		flagHold:    base.Background(tcell.ColorPurple).Foreground(tcell.ColorWhite).Bold(true),
		flagCaution: base.Background(tcell.ColorYellow).Foreground(tcell.ColorBlack),
		flagClear:   base.Background(tcell.ColorTeal).Foreground(tcell.ColorBlack),
		banner:      base.Background(tcell.ColorPurple).Foreground(tcell.ColorWhite).Bold(true),
		warning:     base.Foreground(tcell.ColorYellow).Bold(true), failure: base.Foreground(tcell.ColorYellow).Bold(true),
		keycap: base.Bold(true), typed: base.Underline(true), typedNow: base.Reverse(true), chosen: base.Reverse(true),
	},
}

// Safe keeps apart for every kind of colour vision: the flags differ in
// lightness first, and their hues are vermilion, yellow and sky blue of the
// palette by Okabe and Ito, "Color Universal Design" (from memory).
var Safe = &Theme{
	Name: "colour-blind safe",
	of: func() [numRoles]tcell.Style {
		o := Colour.of
		hold := base.Background(tcell.NewRGBColor(0xd5, 0x5e, 0x00)).Foreground(tcell.ColorWhite).Bold(true)
		o[flagHold], o[banner] = hold, hold
		o[flagCaution] = base.Background(tcell.NewRGBColor(0xf0, 0xe4, 0x42)).Foreground(tcell.ColorBlack)
		o[flagClear] = base.Background(tcell.NewRGBColor(0x56, 0xb4, 0xe9)).Foreground(tcell.ColorBlack)
		return o
	}(),
}

// themes in the order in which the key goes through them.
var themes = []*Theme{Colour, Safe, Mono}
