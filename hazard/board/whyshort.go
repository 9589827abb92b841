package board

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// WhyShort answers for a paddock or lot in two lines, which herds may go in and what
// comes next, and then tells the reasons for the farm's herds: of each answer those that
// make it, the rest in a few words. Full is Why. The error of an unknown id is one plain
// sentence.
func WhyShort(a *hazard.Assessment, id string, f Filter, sources bool) (Sheet, error) {
	s := newSpeaker(a, UnitsOf(a.History))
	p, err := s.subject(id)
	if err != nil {
		return nil, err
	}
	columns := s.columns(f)
	var classes []hazard.Class
	for _, c := range columns {
		classes = append(classes, c.Classes...)
	}
	slices.Sort(classes)
	classes = slices.Compact(classes)
	f.Herd, f.Classes = "", &classes
	e, err := Why(a, id, f)
	if err != nil {
		return nil, err
	}
	x := &shortWhy{
		speaker: s, e: e, p: p, use: f.ListUse(), columns: columns, classes: classes,
		sources: sources, told: map[string]told{}, besides: map[hazard.Use][]string{},
	}
	if e.Lot {
		x.use = hazard.Feed
	}
	if len(e.Uses) == 0 {
		return func(t *text) { t.para("", "  ", notAsked) }, nil
	}
	x.page, x.words = *s, s.pageWords(&Page{Head: e.Head, Use: x.use})
	x.page.page = true
	return x.print, nil
}

// shortWhy is a short explanation on its way to paper.
type shortWhy struct {
	*speaker
	page    speaker // for what stands on the morning's page too
	words   PageWords
	e       *Explanation
	p       *subject
	use     hazard.Use
	columns []Column
	classes []hazard.Class
	sources bool
	told    map[string]told         // reasons
	besides map[hazard.Use][]string // reasons that were named
	only    string                  // conditions that were told
}

// told is how a reason was told, and under which number.
type told struct {
	n     int
	flag  hazard.Flag
	group *Group
}

func (x *shortWhy) print(t *text) {
	e := x.e
	t.acts(x.page.acts(e.ID))
	t.para("", "  ", x.answer())
	t.para("", "  ", x.next())
	t.blank()
	t.para("", "  ", e.Name+", "+e.On.Words()+": "+x.words.Good+". "+x.words.Known)
	t.para("", "  ", e.Danger)
	grows := "Grows: "
	if e.Lot {
		grows = "Holds: "
	}
	t.para("", "  ", strings.Join(filled(clauseOf("Inside: ", join(e.Inside)), clauseOf(grows, e.Species),
		sentence(strings.Join(e.Stand, "; "))), " "))
	t.each("", e.Relaxed...)
	t.each("", e.Notices...)
	for _, u := range e.Uses {
		if v := x.p.worstOf(u.Use, x.classes); u.Use == x.use || u.Use == hazard.SwathGraze && !v.CannotBe() {
			for i := range u.Groups {
				x.group(t, &u.Groups[i])
			}
		}
	}
	t.blank()
	t.para("", "  ", clauseOf("Other uses (--use for why): ", x.others()))
	t.para("", "  ", "Every class, use, entry and publication: rimegate why --full "+Clean(e.ID))
	t.blank()
	t.foot(&e.Head)
}

// clauseOf is a label and what it is of, nothing without that.
func clauseOf(label, what string) string { return provided(what != "", label+what+".") }

// flagged is an answer as the page has it: "NO for ewes and pairs, off through Sat 5 Dec".
func (x *shortWhy) flagged(f hazard.Flag, through Day, whom string) string {
	return x.words.Word(f) + provided(whom != "", " for "+whom) +
		provided(through.iso() != "", ", off through "+x.page.dayDate(fields.Date(through)))
}

// answer is the question, and what each herd is told.
func (x *shortWhy) answer() string {
	of := func(c Column) grade {
		v := needed(x.p.worstOf(x.use, c.Classes), x.e.ID)
		return grade{flag: v.Flag, through: throughOf(v.Flag, v.Through)}
	}
	groups := alike(x.columns, of)
	slices.SortStableFunc(groups, func(a, b []Column) int { return of(b[0]).compare(of(a[0])) })
	return x.words.Rows + " " + strings.Join(texts(groups, func(cs []Column) string {
		g := of(cs[0])
		return x.flagged(g.flag, g.through, join(texts(cs, func(c Column) string { return c.Head }))) +
			provided(g.flag == hazard.Caution, after(": call first, ", x.e.whom()))
	}), "; ") + "."
}

// next is the act that lifts the worst answer, or how to go about a YES.
func (x *shortWhy) next() string {
	v := x.p.worstOf(x.use, x.classes)
	if v.Flag == hazard.Clear {
		return "Next: " + sentence(strings.Join(x.conditions(v), "; "))
	}
	_, next := x.why(v)
	return after("Next: ", next) + provided(x.alsoSteps(v, worstReason(v)) != "", " That is not enough alone: see below.")
}

// whom is who a group of classes stands for: the farm's herds, with the classes of one
// that has others too.
func (x *shortWhy) whom(cs []hazard.Class) string {
	var out []string
	for _, c := range x.columns {
		in := slices.DeleteFunc(slices.Clone(c.Classes), func(k hazard.Class) bool { return !hasClass(cs, k) })
		if len(in) > 0 {
			out = append(out, c.Head+provided(len(in) < len(c.Classes), " ("+ClassWords(in)+")"))
		}
	}
	return or(join(out), ClassWords(cs))
}

// group tells one answer: the reasons that make it, and the others in a few words.
func (x *shortWhy) group(t *text, g *Group) {
	t.title(provided(g.Use != x.use, sentence(g.Use.String())+" ") + "Why " +
		x.flagged(g.Flag, g.Through, x.whom(g.Classes)) + ":")
	t.each("  ", sentence(g.Share), sentence(g.FeedFrom))
	var reasons []*ReasonWords
	for i := range g.Hazards {
		for j := range g.Hazards[i].Reasons {
			if r := &g.Hazards[i].Reasons[j]; g.Hazards[i].Hazard != hazard.Veterinary || r.Flag != hazard.Clear {
				reasons = append(reasons, r)
			}
		}
	}
	slices.SortStableFunc(reasons, func(a, b *ReasonWords) int { return cmp.Compare(b.Through, a.Through) })
	var above, softer, besides []string
	asks := ""
	for _, r := range reasons {
		key := r.Rule + "\x00" + r.Short + "\x00" + strings.Join(r.Entries, "\x00")
		was := x.told[key] // Unknown: not yet, or only as something milder
		switch n := strconv.Itoa(was.n); {
		case was.flag >= r.Flag && was.group == g:
		case was.flag == r.Flag && r.Flag == g.Flag:
			above = append(above, n)
		case was.flag > r.Flag:
			softer = append(softer, n)
		case r.Flag == g.Flag:
			was.n, was.flag, was.group = len(x.told)+1, r.Flag, g
			x.told[key] = was
			x.reason(t, was.n, r)
		case r.Flag == hazard.Clear, contains(besides, r.Short):
		case contains(x.besides[g.Use], r.Short):
			asks = "the ASKs"
		default:
			besides = append(besides, r.Short)
		}
	}
	x.besides[g.Use] = append(x.besides[g.Use], besides...)
	t.para("  ", "    ", clauseOf("As above: ", join(filled(append(above, asks)...))))
	t.para("  ", "    ", clauseOf("Here only an ASK: ", join(softer)))
	t.para("  ", "    ", clauseOf("Then still an ASK: ", strings.Join(besides, "; ")))
	if only := strings.Join(g.Conditions, "; "); g.Flag == hazard.Caution && only != x.only {
		x.only = only
		t.para("  ", "    ", "Only so: "+only+".")
	}
}

func (x *shortWhy) reason(t *text, n int, r *ReasonWords) {
	first := "  " + strconv.Itoa(n) + ". "
	rest := strings.Repeat(" ", len(first))
	t.para(first, rest, r.Text)
	t.para(rest, rest+"  ", after("To lift it: ", r.Lifts))
	if x.sources {
		t.para(rest+"rule: ", rest+"  ", r.Rule)
		for _, s := range r.Sources {
			t.whole(rest+"source: ", rest+"  ", s)
		}
	}
}

// others are the answers for the other uses that can be, where they differ.
func (x *shortWhy) others() string {
	if x.e.Lot {
		return ""
	}
	of := func(u hazard.Use) grade {
		v := x.p.worstOf(u, x.classes)
		return grade{flag: v.Flag, through: throughOf(v.Flag, v.Through)}
	}
	var differ []string
	for _, u := range hazard.PaddockUses {
		if g := of(u); u != x.use && g != of(x.use) && !x.p.worstOf(u, x.classes).CannotBe() {
			differ = append(differ, u.String()+" "+x.flagged(g.flag, g.through, ""))
		}
	}
	return strings.Join(differ, "; ")
}
