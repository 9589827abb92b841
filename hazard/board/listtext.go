package board

import (
	"bufio"
	"io"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// paperColumn is the width of the first column: NO, ASK FIRST or YES.
const paperColumn = len("ASK FIRST") + 2

// Text writes the list as plain text of at most width cells a line (80 on an
// ordinary terminal, never less than 40). Long names wrap; no word of a flag is
// ever cut, and only our own words stand in the first column. It returns the
// writer's error.
func (l *List) Text(w io.Writer, width int) error {
	t := newText(w, width)
	for _, x := range l.MoveOut { // before anything else, the title included
		t.para("", "  ", x)
	}
	t.blank()
	may := "may stock go in "
	switch l.Use {
	case hazard.CutHay, hazard.CutSilage, hazard.GreenChop, hazard.Feed:
		may = "may it be used "
	}
	t.para("", "", l.Farm+", "+l.On.Words()+": "+may+useWords(l.Use)+"? For "+classList(l.Classes)+".")
	good := "Good for this day only. Known at " + l.KnownAt + "."
	if l.Coming {
		good = "A coming day: this holds if nothing else happens. Known at " + l.KnownAt + "."
	}
	t.para("", "", good)
	if len(l.Rows)+len(l.Lots) > 0 || len(l.SetUp) == 0 {
		t.para("Data: ", "      ", l.Stamps+" (the oldest over the paddocks).")
	}
	if !l.NightIn && !l.Coming {
		t.para("", "", "LAST NIGHT IS NOT IN "+l.Unread+".")
	}
	t.para("Rules: ", "       ", l.Book+".")
	if len(l.Rows) > 0 {
		for _, x := range l.SetUp {
			t.para("", "  ", x)
		}
	}
	for _, x := range l.Relaxed {
		t.para("", "  ", x)
	}
	for _, x := range l.Notices {
		t.para("", "  ", x)
	}
	if l.Use != hazard.Feed {
		t.blank()
		for i := range l.Rows {
			t.row(&l.Rows[i], l)
		}
		switch {
		case len(l.Rows) > 0:
		case len(l.SetUp) > 0:
			t.para("", "  ", l.SetUp[0])
		default:
			t.para("", "", "No paddock answers to this question.")
		}
	}
	if len(l.Lots) > 0 {
		t.blank()
		t.para("", "", "STORED FEED")
		for i := range l.Lots {
			t.row(&l.Lots[i], l)
		}
	} else if l.Use == hazard.Feed {
		t.blank()
		t.para("", "", "No lot answers to this question.")
	}
	t.blank()
	t.para("", "", l.Total+".")
	t.blank()
	if len(l.Conditions) > 0 {
		t.para("", "  ", "With every YES, and every ASK FIRST that was agreed to: "+strings.Join(l.Conditions, "; ")+".")
	}
	t.para("", "  ", l.OnHold)
	t.para("", "  ", l.Emergency)
	t.para("Call: ", "      ", strings.Join(l.Call, "; "))
	t.para("", "  ", "Not assessed: "+strings.Join(l.NotAssessed, ", ")+".")
	t.para("", "  ", l.Defers)
	return t.flush()
}

func (t *text) row(r *Row, l *List) {
	first := r.Paper + strings.Repeat(" ", paperColumn-len(r.Paper))
	rest := strings.Repeat(" ", paperColumn)
	head := r.Name + ": " + r.Word
	switch r.Flag {
	case hazard.Hold:
		if r.Date == hazard.NoEnd || r.Date == fields.NoDate {
			head += ", no date"
		} else {
			head += " " + r.Through
		}
	case hazard.Caution:
		head += ", ask first"
		if who := l.whom(); who != "" {
			head += ": " + who
		}
	default:
		head += " " + useWords(r.Use)
	}
	t.para(first, rest, head)
	if r.Danger != "" {
		t.para(rest, rest, r.Danger)
	}
	if len(r.Differ) > 0 {
		t.para(rest, rest, "Classes differ: "+strings.Join(r.Differ, "; ")+".")
	}
	why := r.Why
	if r.More > 0 {
		why += " (" + plural(r.More, "more reason") + ")"
	}
	t.para(rest, rest, why)
	for _, x := range []string{r.Share, r.FeedFrom} {
		if x != "" {
			t.para(rest, rest, sentence(x))
		}
	}
	if r.Next != "" {
		needs := ""
		if r.Need != hazard.NeedNothing {
			needs = "Needs " + r.Need.String() + ". "
		}
		t.para(rest, rest, needs+"Next: "+r.Next)
	}
}

// whom is the first number to call before an ASK FIRST.
func (l *List) whom() string {
	for _, role := range []string{"manager: ", "backup: "} {
		for _, x := range l.Call {
			if strings.HasPrefix(x, role) {
				return strings.TrimPrefix(x, role)
			}
		}
	}
	return ""
}

// text collects wrapped lines for one writer.
type text struct {
	w     io.Writer
	width int
	lines []string
	cited []citation
}

// citation is a rule with its publications, for the end of an explanation.
type citation struct {
	rule    string
	sources []string
}

func newText(w io.Writer, width int) *text { return &text{w: w, width: max(width, 40)} }

func (t *text) para(first, rest, s string) {
	if s == "" {
		return
	}
	t.lines = append(t.lines, wrap(s, first, rest, t.width)...)
}

// whole is para for the rulebook's own text: a web address longer than a line
// stays in one piece, so that it can be copied.
func (t *text) whole(first, rest, s string) {
	const mark = "://"
	at := strings.Index(s, mark)
	if at < 0 {
		t.para(first, rest, s)
		return
	}
	start := strings.LastIndexByte(s[:at], ' ') + 1
	url, after, _ := strings.Cut(s[start:], " ")
	if Width(rest)+Width(url) <= t.width {
		t.para(first, rest, s)
		return
	}
	t.para(first, rest, s[:start])
	t.lines = append(t.lines, rest+url)
	t.para(rest, rest, after)
}

func (t *text) blank() {
	if n := len(t.lines); n > 0 && t.lines[n-1] != "" {
		t.lines = append(t.lines, "")
	}
}

func (t *text) flush() error {
	bw := bufio.NewWriter(t.w)
	for _, x := range t.lines {
		bw.WriteString(x)
		bw.WriteByte('\n')
	}
	return bw.Flush()
}
