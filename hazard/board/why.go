package board

import (
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Explanation is the full reasoning about one paddock or lot. All its texts
// are clean.
type Explanation struct {
	ID, Name string
	Lot      bool
	Farm     string
	On       fields.Date
	KnownAt  string
	Coming   bool
	Inside   []string
	MoveOut  []string
	Species  string // what the answer rests on
	Stand    []string
	Stamps   string
	Book     string
	Relaxed  []string
	Notices  []string
	Danger   string
	Uses     []UseAnswer
	Tasks    []hazard.Task

	OnHold, Emergency, Defers string
	Call                      []string
	NotAssessed               []string
}

// UseAnswer is the answer for one use: classes with the same reasoning stand
// together, the worst first.
type UseAnswer struct {
	Use    hazard.Use
	Groups []Group
}

// Group is the reasoning that some classes share.
type Group struct {
	Classes    []hazard.Class
	Flag       hazard.Flag
	Word       string
	Through    string
	Need       hazard.Need
	FeedFrom   string
	Share      string
	Hazards    []HazardWords
	Conditions []string
}

// HazardWords is the answer for one hazard.
type HazardWords struct {
	Hazard  hazard.Hazard
	Flag    hazard.Flag
	Word    string
	Through string
	Reasons []ReasonWords
}

// ReasonWords is one reason in words.
type ReasonWords struct {
	Rule    string
	Flag    hazard.Flag
	Word    string
	Text    string
	Entries []EntryRef
	Sources []string
	Lifts   string

	key string // the same for the same reason under another use
}

// EntryRef is an entry a reason stands on.
type EntryRef struct{ ID, Words string }

// Why explains a paddock or lot: for all uses and classes unless the filter
// says otherwise. The error of an unknown id is one plain sentence.
func Why(a *hazard.Assessment, id string, f Filter) (*Explanation, error) {
	s := newSpeaker(a, UnitsOf(a.History))
	e := &Explanation{ID: id, On: s.on}
	l := &List{}
	s.header(l)
	e.Farm, e.KnownAt, e.Coming, e.Book = l.Farm, l.KnownAt, l.Coming, l.Book
	e.Relaxed, e.Call, e.NotAssessed = l.Relaxed, l.Call, l.NotAssessed
	e.OnHold, e.Emergency, e.Defers = l.OnHold, l.Emergency, l.Defers
	for i := range a.Notices {
		if n := &a.Notices[i]; n.Paddock == id || n.Lot == id {
			e.Notices = append(e.Notices, s.notice(n))
		}
	}
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		if s.id(p) != id {
			continue
		}
		s.whyPaddock(e, p, f)
		return e, nil
	}
	for i := range a.Lots {
		if l := &a.Lots[i]; l.Lot == id {
			s.whyLot(e, l, f)
			return e, nil
		}
	}
	return nil, s.unknownID(id)
}

func (s *speaker) unknownID(id string) error {
	var known []string
	for i := range s.a.Paddocks {
		known = append(known, Clean(s.id(&s.a.Paddocks[i])))
	}
	for i := range s.a.Lots {
		known = append(known, Clean(s.a.Lots[i].Lot))
	}
	if len(known) == 0 {
		return fmt.Errorf("there is no paddock or lot %q on %s; none is known yet", Clean(id), s.on.Words())
	}
	more := ""
	if len(known) > 12 {
		more = fmt.Sprintf(" and %d more", len(known)-12)
		known = known[:12]
	}
	return fmt.Errorf("there is no paddock or lot %q on %s; known are %s%s", Clean(id), s.on.Words(), strings.Join(known, ", "), more)
}

func (s *speaker) whyPaddock(e *Explanation, p *hazard.PaddockAnswer, f Filter) {
	e.Name = s.name(p)
	e.Stamps = stamps(p.Data, "")
	for _, in := range standing(s.a, p) {
		e.Inside = append(e.Inside, in.herd)
		if in.flag == hazard.Hold {
			e.MoveOut = append(e.MoveOut, s.moveOut(&in, p))
		}
	}
	e.Species = speciesNames(s.book, p.Species)
	e.Stand = s.stand(&p.Stand)
	e.Tasks = s.tasks(p)
	for _, u := range f.allUses() {
		e.use(s, u, func(c hazard.Class) *hazard.Verdict { return p.Verdict(u, c) }, f.allClasses())
	}
}

func (s *speaker) whyLot(e *Explanation, l *hazard.LotAnswer, f Filter) {
	e.Lot, e.Name = true, lotName(l)
	e.Stamps = stamps(l.Data, "")
	e.Species = join(cleanAll(l.Facts.Species))
	e.Danger = s.siloGas(l)
	e.MoveOut = s.stopFeedings(l.Lot)
	if l.Facts.MadeOn != fields.NoDate {
		e.Stand = append(e.Stand, "made "+l.Facts.MadeOn.Words())
	}
	for _, x := range l.Facts.From {
		e.Stand = append(e.Stand, "from "+paddockName(s.h, x))
	}
	if l.Suspect {
		e.Stand = append(e.Stand, "suspect of prussic acid")
	}
	e.use(s, hazard.Feed, l.Verdict, f.allClasses())
}

// stand says how the stand is read.
func (s *speaker) stand(st *hazard.StandState) []string {
	var out []string
	if st.Unlisted {
		out = append(out, "nothing written down of what grows here")
	}
	if st.Start != fields.NoDate {
		out = append(out, "stand since "+st.Start.Words())
	}
	if st.HasP {
		out = append(out, "holds plants that make prussic acid")
	}
	if st.MinHeight > 0 {
		out = append(out, "minimum height "+s.u.atLeast(st.MinHeight))
	}
	if st.HeightOn != fields.NoDate {
		out = append(out, "shortest growth "+s.u.in(fields.Height, st.LastHeight)+" on "+st.HeightOn.Words())
	}
	if st.LastClock != fields.NoDate {
		out = append(out, "frost clock last set by "+nights([]fields.Date{st.LastClock})+", running through and including "+st.ClockEnd.Words())
	}
	if st.Dead {
		t := "confirmed dead"
		if st.Base != fields.NoDate {
			t += " by the walk of " + st.Base.Words()
		}
		out = append(out, t)
	}
	return out
}

// use adds one use with its classes grouped by equal reasoning.
func (e *Explanation) use(s *speaker, u hazard.Use, find func(hazard.Class) *hazard.Verdict, classes []hazard.Class) {
	ans := UseAnswer{Use: u}
	var worst []*hazard.Verdict
	for _, c := range classes {
		v := needed(find(c), e.ID)
		g := s.group(v)
		placed := false
		for i := range ans.Groups {
			same := g
			same.Classes = ans.Groups[i].Classes
			if reflect.DeepEqual(same, ans.Groups[i]) {
				ans.Groups[i].Classes = append(ans.Groups[i].Classes, c)
				placed = true
				break
			}
		}
		if !placed {
			g.Classes = []hazard.Class{c}
			ans.Groups = append(ans.Groups, g)
			worst = append(worst, v)
		}
	}
	for i := 1; i < len(worst); i++ { // few groups: a plain insertion keeps ties in class order
		for j := i; j > 0 && worse(worst[j], worst[j-1]); j-- {
			worst[j], worst[j-1] = worst[j-1], worst[j]
			ans.Groups[j], ans.Groups[j-1] = ans.Groups[j-1], ans.Groups[j]
		}
	}
	if len(ans.Groups) > 0 {
		e.Uses = append(e.Uses, ans)
	}
}

func (s *speaker) group(v *hazard.Verdict) Group {
	g := Group{Flag: v.Flag, Word: FlagWord(v.Flag), Through: ThroughWords(v.Flag, v.Through), Need: v.Need}
	if v.Flag != hazard.Hold && !cannotBe(v) {
		g.Conditions = conditions(v)
	}
	if v.FeedFrom != fields.NoDate && v.FeedFrom != hazard.NoEnd && v.FeedFrom > s.on {
		g.FeedFrom = "the waits allow feeding from " + v.FeedFrom.Words()
	}
	if v.Use == hazard.Feed {
		if share := lotShare(v); share >= 0 && v.Flag != hazard.Hold {
			g.Share = "at most " + number(share, 1) + " % of the ration's dry matter"
		}
	}
	for i := range v.Hazards {
		h := &v.Hazards[i]
		hw := HazardWords{Hazard: h.Hazard, Flag: h.Flag, Word: FlagWord(h.Flag), Through: ThroughWords(h.Flag, h.Through)}
		for j := range h.Reasons {
			hw.Reasons = append(hw.Reasons, s.reasonWords(&h.Reasons[j], v.Use))
		}
		g.Hazards = append(g.Hazards, hw)
	}
	return g
}

func (s *speaker) reasonWords(r *hazard.Reason, use hazard.Use) ReasonWords {
	w := ReasonWords{Rule: r.Rule, Flag: r.Flag, Word: FlagWord(r.Flag), Text: s.reason(r, use), Sources: s.sources(r), Lifts: s.lifts(r)}
	w.key = w.Word + "\x00" + r.Rule + "\x00" + r.Through.String() + "\x00" + s.short(r, hazard.Graze) + "\x00" + strings.Join(r.Entries, "\x00")
	ids := r.Entries
	if r.SoftBy != nil && !contains(ids, r.SoftBy.Entry) {
		ids = append(append([]string{}, ids...), r.SoftBy.Entry)
	}
	for _, id := range ids {
		ref := EntryRef{ID: Clean(id), Words: "not in what was known"}
		if f, ok := s.entry(id); ok {
			ref.Words = EntryWords(f.Entry, s.h, s.u)
		}
		w.Entries = append(w.Entries, ref)
	}
	return w
}

func contains(list []string, x string) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// Text writes the explanation at most width cells a line, never less than 40.
// A reason that was told under one use is only named under the next.
func (e *Explanation) Text(w io.Writer, width int) error {
	t := newText(w, width)
	head := e.Name
	if id := Clean(e.ID); id != e.Name && !e.Lot {
		head += " (" + id + ")"
	}
	for _, x := range e.MoveOut {
		t.para("", "  ", x)
	}
	t.blank()
	t.para("", "  ", head+", "+e.Farm+", "+e.On.Words())
	good := "Good for this day only. Known at " + e.KnownAt + "."
	if e.Coming {
		good = "A coming day: this holds if nothing else happens. Known at " + e.KnownAt + "."
	}
	t.para("", "", good)
	if e.Danger != "" {
		t.para("", "  ", e.Danger)
	}
	if len(e.Inside) > 0 {
		t.para("Inside: ", "        ", join(e.Inside)+".")
	}
	if e.Species != "" {
		t.para("Grows: ", "       ", e.Species+".")
		if e.Lot {
			t.lines[len(t.lines)-1] = strings.Replace(t.lines[len(t.lines)-1], "Grows: ", "Holds: ", 1)
		}
	}
	if len(e.Stand) > 0 {
		t.para("", "  ", sentence(strings.Join(e.Stand, "; ")))
	}
	t.para("Data: ", "      ", e.Stamps+".")
	t.para("Rules: ", "       ", e.Book+".")
	for _, x := range append(append([]string{}, e.Relaxed...), e.Notices...) {
		t.para("", "  ", x)
	}
	told := map[string]int{} // reason -> number
	t.cited = nil
	for _, u := range e.Uses {
		for i := range u.Groups {
			t.blank()
			t.group(u.Use, &u.Groups[i], told)
		}
	}
	if len(e.Uses) == 0 {
		t.blank()
		t.para("", "  ", "This use is not asked of a paddock: a paddock is grazed or cut, a lot is fed.")
	}
	t.blank()
	for _, c := range t.cited {
		t.para("", "  ", "SOURCES of "+c.rule)
		for _, x := range c.sources {
			t.whole("  ", "    ", x)
		}
	}
	t.blank()
	for _, x := range e.Tasks {
		t.para("To do: ", "       ", "by "+x.By.Words()+": "+x.Text)
	}
	t.para("", "  ", e.OnHold)
	t.para("", "  ", e.Emergency)
	t.para("Call: ", "      ", strings.Join(e.Call, "; "))
	t.para("", "  ", "Not assessed: "+strings.Join(e.NotAssessed, ", ")+".")
	t.para("", "  ", e.Defers)
	return t.flush()
}

func (t *text) group(use hazard.Use, g *Group, told map[string]int) {
	head := strings.ToUpper(use.String()) + ", " + classList(g.Classes) + ": " + g.Word
	if g.Flag == hazard.Hold {
		if g.Through == "no date" {
			head += ", no date"
		} else {
			head += " " + g.Through
		}
	}
	if g.Need != hazard.NeedNothing {
		head += " (needs " + g.Need.String() + ")"
	}
	t.para("", "  ", head)
	for _, x := range []string{g.Share, g.FeedFrom} {
		if x != "" {
			t.para("  ", "  ", sentence(x))
		}
	}
	for i := range g.Hazards {
		h := &g.Hazards[i]
		line := HazardWord(h.Hazard) + ": " + h.Word
		if h.Flag == hazard.Hold {
			if h.Through == "no date" {
				line += ", no date"
			} else {
				line += " " + h.Through
			}
		}
		if seen := allTold(h, told); seen != "" && h.Flag == hazard.Clear {
			t.para("  ", "    ", line+" (see "+seen+")")
			continue
		}
		t.para("  ", "    ", line)
		for j := range h.Reasons {
			t.reason(&h.Reasons[j], told)
		}
	}
	if len(g.Conditions) > 0 {
		t.para("  ", "    ", "Only so: "+strings.Join(g.Conditions, "; ")+".")
	}
}

// fewSources are as many as stand beside their reason; more would bury it.
const fewSources = 2

// cite keeps a long list of sources for the end of the text, once.
func (t *text) cite(r *ReasonWords) {
	for _, c := range t.cited {
		if c.rule == r.Rule && reflect.DeepEqual(c.sources, r.Sources) {
			return
		}
	}
	t.cited = append(t.cited, citation{r.Rule, r.Sources})
}

// allTold is the numbers of a hazard's reasons if each was told before.
func allTold(h *HazardWords, told map[string]int) string {
	var ns []string
	for i := range h.Reasons {
		n, ok := told[h.Reasons[i].key]
		if !ok {
			return ""
		}
		ns = append(ns, strconv.Itoa(n))
	}
	return join(ns)
}

func (t *text) reason(r *ReasonWords, told map[string]int) {
	n, before := told[r.key]
	if !before {
		n = len(told) + 1
		told[r.key] = n
	}
	first := fmt.Sprintf("    %d. ", n)
	rest := strings.Repeat(" ", len(first))
	if before {
		t.para(first, rest, r.Word+": "+r.Text+" (told above)")
		return
	}
	t.para(first, rest, r.Word+": "+r.Text)
	for _, x := range r.Entries {
		t.para(rest+"entry: ", rest+"  ", x.Words+" ["+x.ID+"]")
	}
	t.para(rest+"rule: ", rest+"  ", r.Rule)
	if len(r.Sources) > fewSources {
		t.cite(r)
		t.para(rest+"sources: ", rest+"  ", strconv.Itoa(len(r.Sources))+", listed below under SOURCES of "+r.Rule)
	} else {
		for _, x := range r.Sources {
			t.whole(rest+"source: ", rest+"  ", x)
		}
	}
	if r.Lifts != "" {
		t.para(rest+"to lift it: ", rest+"  ", r.Lifts)
	}
}
