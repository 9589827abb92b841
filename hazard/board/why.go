package board

import (
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Explanation is the full reasoning about one paddock or lot. All its texts
// are clean.
type Explanation struct {
	Head
	ID, Name string
	Lot      bool
	Inside   []string
	MoveOut  []string
	Species  string // what the answer rests on
	Stand    []string
	Danger   string
	Uses     []UseAnswer
	Tasks    []Task

	entries map[string]string
}

// Entry says what an entry states that a reason stands on.
func (e *Explanation) Entry(id string) string { return or(e.entries[id], "not in what was known") }

// UseAnswer is the answer for one use: classes with the same reasoning stand
// together, the worst first.
type UseAnswer struct {
	Use    hazard.Use
	Groups []Group
}

// Group is the answer that some classes share.
type Group struct {
	Classes []hazard.Class
	Answer
}

// Why explains a paddock or lot: for all uses and classes unless the filter
// says otherwise. The error of an unknown id is one plain sentence.
func Why(a *hazard.Assessment, id string, f Filter) (*Explanation, error) {
	s := newSpeaker(a, UnitsOf(a.History))
	p, err := s.subject(id)
	if err != nil {
		return nil, err
	}
	e := &Explanation{
		Head: s.head(""), ID: id, Name: p.name, Lot: p.lot != nil, Danger: s.siloGas(p.lot),
		entries: map[string]string{},
	}
	e.Stamps, e.Notices = stampsOf(p.data).words("", s.on), e.Apart
	for i := range a.Notices {
		if n := &a.Notices[i]; n.Paddock == id || n.Lot == id {
			e.Notices = append(e.Notices, s.notice(n))
		}
	}
	if l := p.lot; l != nil {
		e.MoveOut, e.Species, e.Stand = s.stopFeedings(id), join(cleanAll(l.Facts.Species)), s.made(l)
	} else {
		e.Inside, e.MoveOut, e.Tasks = p.herds(), s.movesOf(p.paddock), s.tasks(p.paddock)
		e.Species, e.Stand = s.species(p.paddock.Species...), s.stand(&p.paddock.Stand)
	}
	for _, u := range p.uses(f) {
		ans := UseAnswer{Use: u}
		for _, c := range f.allClasses(s.h) {
			ans.add(s.answer(needed(p.verdict(u, c), id), nil))
		}
		slices.SortStableFunc(ans.Groups, func(a, b Group) int {
			return gradeOf(p.verdict(u, b.Class)).compare(gradeOf(p.verdict(u, a.Class)))
		})
		for _, g := range ans.Groups {
			for _, h := range g.Hazards {
				for _, r := range h.Reasons {
					s.tell(e.entries, r.Entries)
				}
			}
		}
		e.Uses = append(e.Uses, ans)
	}
	return e, nil
}

// tell puts entries into words, each once.
func (s *speaker) tell(words map[string]string, ids []string) {
	for _, id := range ids {
		if f, ok := s.entry(id); ok && words[id] == "" {
			words[id] = EntryWords(f.Entry, s.h, s.u)
		}
	}
}

// add joins a class's answer to the group that has the same, or begins one.
func (u *UseAnswer) add(a Answer) {
	for i := range u.Groups {
		g := &u.Groups[i]
		same := a
		same.Class = g.Class
		if reflect.DeepEqual(same, g.Answer) {
			g.Classes = append(g.Classes, a.Class)
			return
		}
	}
	u.Groups = append(u.Groups, Group{[]hazard.Class{a.Class}, a})
}

// subject is the paddock or lot with the id.
func (s *speaker) subject(id string) (*subject, error) {
	known := append(s.paddocks(Filter{}), s.lots(Filter{})...)
	var ids []string
	for i := range known {
		if known[i].id == id {
			return &known[i], nil
		}
		ids = append(ids, Clean(known[i].id))
	}
	if p := s.h.Paddock(id); p != nil && p.Retired != fields.NoDate {
		return nil, GoneWords(s.h, p)
	}
	if len(ids) == 0 {
		return nil, fmt.Errorf("there is no paddock or lot %q on %s; none is known yet", Clean(id), s.date(s.on))
	}
	more := ""
	if n := len(ids) - 12; n > 0 {
		more = fmt.Sprintf(" and %d more", n)
		ids = ids[:12]
	}
	return nil, fmt.Errorf("there is no paddock or lot %q on %s; known are %s%s", Clean(id), s.date(s.on),
		strings.Join(ids, ", "), more)
}

// GoneWords say what became of a paddock that was split or joined away.
func GoneWords(h *fields.History, p *fields.Paddock) error {
	return fmt.Errorf("%s changed its shape on %s: it is %s now; ask about each by its own name",
		Clean(p.Name), p.Retired.Beside(h.On), Clean(strings.Join(h.Became(p.ID, h.On), " and ")))
}

func (s *speaker) made(l *hazard.LotAnswer) []string {
	var out []string
	if l.Facts.MadeOn != fields.NoDate {
		out = append(out, "made "+s.date(l.Facts.MadeOn))
	}
	for _, x := range l.Facts.From {
		out = append(out, "from "+paddockName(s.h, x))
	}
	if l.Suspect {
		out = append(out, "suspect for prussic acid")
	}
	return out
}

// stand says how the stand is read.
func (s *speaker) stand(st *hazard.StandState) []string {
	var out []string
	add := func(says bool, words string) {
		if says {
			out = append(out, words)
		}
	}
	add(st.Unlisted, "nobody has logged what grows here")
	add(st.Start != fields.NoDate, "stand since "+s.date(st.Start))
	add(st.HasP, "holds plants that make prussic acid")
	add(st.MinHeight > 0, "minimum height "+s.u.atLeast(st.MinHeight))
	add(st.HeightOn != fields.NoDate, "shortest growth "+s.u.in(fields.Height, st.LastHeight)+" on "+
		s.date(st.HeightOn))
	add(st.LastClock != fields.NoDate, "frost clock last set by "+s.nights([]fields.Date{st.LastClock})+", running "+
		"through "+s.date(st.ClockEnd))
	add(st.Dead, "confirmed dead"+s.dated(" by the walk of ", st.Base, ""))
	return out
}

// telling writes the groups of an explanation. A reason is told once, and only
// named after that.
type telling struct {
	*text
	e     *Explanation
	told  map[string]int // reason -> number
	cited []*ReasonWords // whose sources stand at the end
}

const notAsked = "This use is not asked of a paddock: a paddock is grazed or cut, a lot is fed."

// Text writes the explanation at most width cells a line, never less than 40.
// A reason that was told under one use is only named under the next.
func (e *Explanation) Text(w io.Writer, width int) error {
	t := &telling{text: newText(w, width), e: e, told: map[string]int{}}
	head := e.Name
	if id := Clean(e.ID); id != e.Name && !e.Lot {
		head += " (" + id + ")"
	}
	t.each("", e.MoveOut...)
	t.blank()
	t.para("", "  ", head+", "+e.Farm+", "+e.On.Words())
	t.para("", "", e.good())
	t.para("", "  ", e.Danger)
	if len(e.Inside) > 0 {
		t.para("Inside: ", "        ", join(e.Inside)+".")
	}
	if e.Species != "" {
		label := "Grows: "
		if e.Lot {
			label = "Holds: "
		}
		t.para(label, "       ", e.Species+".")
	}
	t.para("", "  ", sentence(strings.Join(e.Stand, "; ")))
	t.para("Data: ", "      ", e.Stamps+".")
	t.para("Rules: ", "       ", e.Rulebook.String()+".")
	t.each("", e.Relaxed...)
	t.each("", e.Notices...)
	for _, u := range e.Uses {
		for i := range u.Groups {
			t.blank()
			t.group(&u.Groups[i])
		}
	}
	t.blank()
	if len(e.Uses) == 0 {
		t.para("", "  ", notAsked)
	}
	t.blank()
	for _, r := range t.cited {
		t.para("", "  ", "SOURCES of "+r.Rule)
		for _, x := range r.Sources {
			t.whole("  ", "    ", x)
		}
	}
	t.blank()
	for _, x := range e.Tasks {
		t.para("To do: ", "       ", "by "+x.By.Beside(e.On)+": "+x.Text)
	}
	t.foot(&e.Head)
	return t.flush()
}

func (t *telling) group(g *Group) {
	head := strings.ToUpper(g.Use.String()) + ", " + ClassWords(g.Classes) + ": " + FlagWord(g.Flag) + g.Through.tail(t.e.On)
	t.para("", "  ", head)
	t.each("  ", sentence(g.Share), sentence(g.FeedFrom))
	for i := range g.Hazards {
		h := &g.Hazards[i]
		line := HazardWord(h.Hazard) + ": " + FlagWord(h.Flag) + h.Through.tail(t.e.On)
		if seen := t.seen(h); seen != "" && h.Flag == hazard.Clear {
			t.para("  ", "    ", line+" (see "+seen+")")
			continue
		}
		t.para("  ", "    ", line)
		for j := range h.Reasons {
			t.reason(&h.Reasons[j])
		}
	}
	if len(g.Conditions) > 0 {
		t.para("  ", "    ", "Only so: "+strings.Join(g.Conditions, "; ")+".")
	}
}

// key is the same for the same reason under another use.
func (r *ReasonWords) key() string {
	return r.Flag.String() + "\x00" + r.Rule + "\x00" + r.Through.iso() + "\x00" + r.cause + "\x00" +
		strings.Join(r.Entries, "\x00")
}

// seen is the numbers of a hazard's reasons if each was told before.
func (t *telling) seen(h *HazardWords) string {
	var ns []string
	for i := range h.Reasons {
		n, ok := t.told[h.Reasons[i].key()]
		if !ok {
			return ""
		}
		ns = append(ns, strconv.Itoa(n))
	}
	return join(ns)
}

// fewSources are as many as stand beside their reason; more would bury it.
const fewSources = 2

func (t *telling) reason(r *ReasonWords) {
	n, before := t.told[r.key()]
	if !before {
		n = len(t.told) + 1
		t.told[r.key()] = n
	}
	first := fmt.Sprintf("    %d. ", n)
	rest := strings.Repeat(" ", len(first))
	if before {
		t.para(first, rest, FlagWord(r.Flag)+": "+r.Text+" (told above)")
		return
	}
	t.para(first, rest, FlagWord(r.Flag)+": "+r.Text)
	for _, id := range r.Entries {
		t.para(rest+"entry: ", rest+"  ", t.e.Entry(id)+" ["+id+"]")
	}
	t.para(rest+"rule: ", rest+"  ", r.Rule)
	if len(r.Sources) > fewSources {
		same := func(c *ReasonWords) bool { return c.Rule == r.Rule && slices.Equal(c.Sources, r.Sources) }
		if !slices.ContainsFunc(t.cited, same) {
			t.cited = append(t.cited, r)
		}
		t.para(rest+"sources: ", rest+"  ", strconv.Itoa(len(r.Sources))+", listed below under SOURCES of "+r.Rule)
	} else {
		for _, x := range r.Sources {
			t.whole(rest+"source: ", rest+"  ", x)
		}
	}
	t.para(rest+"to lift it: ", rest+"  ", r.Lifts)
}
