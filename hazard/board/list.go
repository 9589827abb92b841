package board

import (
	"sort"
	"strconv"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/weather"
)

// List is the morning list: every paddock asked about, worst first, with what
// a sheet must carry around them. All its texts are clean.
type List struct {
	Farm    string
	On      fields.Date
	Use     hazard.Use
	Classes []hazard.Class
	Coming  bool // the day asked lies after the moment: "if nothing else happens"

	KnownAt string
	Data    hazard.DataThrough
	Stamps  string   // Data in words
	NightIn bool     // every paddock's last night is in, or nobody need read it
	Unread  string   // whose is not: "for Creek and The Bench"
	SetUp   []string // what a farm without paddocks or herds types next
	Book    string
	Relaxed []string // one line each, beginning with RELAXED
	Notices []string

	MoveOut []string // "MOVE OUT NOW: pairs in North Slough", "STOP FEEDING NOW: bench-hay to pairs"
	Rows    []Row
	Lots    []Row
	Total   string // "3 paddocks: 1 NO, 1 ASK FIRST, 1 YES"

	Conditions  []string // with every YES and every ASK FIRST that was agreed to
	OnHold      string
	Emergency   string
	Call        []string // whom to call
	NotAssessed []string
	Defers      string

	// Worst is the worst flag of the rows asked about; Clear when there are none
	// would be a lie, so it is Caution then.
	Worst hazard.Flag
}

// Row is one paddock or lot.
type Row struct {
	ID, Name string
	Use      hazard.Use
	Flag     hazard.Flag
	Word     string // HOLD, CAUTION, CLEAR
	Paper    string // NO, ASK FIRST, YES
	Date     fields.Date
	Through  string // "through and including Fri 25-Sep-2026", "no date", "" if no hold
	Class    hazard.Class
	Differ   []string // "ASK FIRST for open-cattle", where the classes differ
	Why      string   // one sentence: the worst reason
	More     int      // further reasons that alone would make the same flag
	Need     hazard.Need
	Next     string // the one act
	Inside   []string
	MoveOut  bool
	Data     hazard.DataThrough
	Others   []string // the other uses: "green-chop: NO, no date"
	Share    string   // lots: the largest share of the ration, where one is set
	FeedFrom string   // lots: the first day the waits allow feeding
	Danger   string   // lots: silo gas, for people
}

// Conditions go with CLEAR and CAUTION for the use; they decide nothing.
// Full bellies and a late turn-out: University of Georgia Extension, Colquitt
// County, "Watch Out for Prussic Acid" (2015),
// http://blog.extension.uga.edu/colquittag/2015/11/current-forage-questions/
// (hay first, late afternoon, watch the first hours); at midday: University of
// Nebraska, "Managing bloat and prussic acid when grazing fall alfalfa,
// sorghum",
// https://cropwatch.unl.edu/pasture-and-forage-minute-managing-bloat-and-prussic-acid-when-grazing-fall-alfalfa-sorghum
// Green chop within hours, never overnight: Seedway, "Prussic acid potentials",
// https://seedway.com/agronomy/prussic-acid-potentials (a seed company).
// A few head first, two hours, and a slow start with stored feed are common
// practice, no source.
func Conditions(u hazard.Use) []string {
	switch u {
	case hazard.Graze, hazard.SwathGraze:
		return []string{
			"never turn out hungry stock: fill them with safe feed first",
			"turn out at midday or later, with daylight left to watch them",
			"a few head first, and watch them for two hours",
		}
	case hazard.GreenChop:
		return []string{
			"never to hungry stock: fill them with safe feed first",
			"feed it within hours of chopping, never left overnight",
			"a few head first, and watch them for two hours",
		}
	case hazard.CutHay, hazard.CutSilage:
		return []string{"cutting only: whether it may be fed is a separate question"}
	case hazard.Feed:
		return []string{
			"never to hungry stock: fill them with safe feed first",
			"start with a little and bring it up over days",
			"a few head first, and watch them for two hours",
		}
	}
	return nil
}

// conditions are those of a verdict that is no hold.
func conditions(v *hazard.Verdict) []string {
	out := Conditions(v.Use)
	if v.Bloat != fields.NoDate {
		out = append(out, "alfalfa and clover bloat stock for some days after a frost ("+v.Bloat.Words()+"): hay first, and never in hungry")
	}
	return out
}

const (
	onHold    = "On a NO: check that the gate is shut and the fence is up."
	emergency = "If an animal goes down: get the others out quietly, put none back, call the vet."
	defers    = "A veterinarian, a laboratory and local advice come before this list."
)

// Today makes the morning list of an assessment: for grazing and the classes
// of the farm's herds unless the filter says otherwise. It panics on a verdict
// that was never decided.
func Today(a *hazard.Assessment, f Filter) *List {
	s := newSpeaker(a, UnitsOf(a.History))
	l := &List{Use: f.listUse(), Classes: f.listClasses(a.History), Worst: hazard.Unknown}
	s.header(l)
	var bloats []string
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		for _, in := range standing(a, p) { // whatever was asked: stock in danger come first
			if in.flag != hazard.Hold {
				continue
			}
			l.MoveOut = append(l.MoveOut, s.moveOut(&in, p))
		}
		if !f.wantsPaddocks() || !f.names(s.id(p)) {
			continue
		}
		row := s.paddockRow(p, l.Use, l.Classes, f.Use == nil)
		if v := p.Verdict(l.Use, l.Classes[0]); v != nil && v.Bloat != fields.NoDate && row.Flag != hazard.Hold {
			bloats = append(bloats, row.Name)
		}
		l.Rows = append(l.Rows, row)
		l.Worst = max(l.Worst, row.Flag)
	}
	l.MoveOut = append(l.MoveOut, s.stopFeedings("")...)
	if f.wantsLots() {
		for i := range a.Lots {
			if !f.names(a.Lots[i].Lot) {
				continue
			}
			row := s.lotRow(&a.Lots[i], l.Classes)
			l.Lots = append(l.Lots, row)
			if f.Use != nil || f.Paddock != "" {
				l.Worst = max(l.Worst, row.Flag)
			}
		}
	}
	if l.Worst == hazard.Unknown {
		l.Worst = hazard.Caution
	}
	sortRows(l.Rows)
	sortRows(l.Lots)
	l.Total = total(l.Rows, "paddock")
	if !f.wantsPaddocks() {
		l.Total = total(l.Lots, "lot")
	}
	l.Conditions = Conditions(l.Use)
	if len(bloats) > 0 {
		l.Conditions = append(l.Conditions, "frosted alfalfa or clover ("+join(bloats)+") bloats stock for some days: hay first, and never in hungry")
	}
	return l
}

// moveOut is the line for stock that must leave: now, or before the coming day
// that was asked about.
func (s *speaker) moveOut(in *inside, p *hazard.PaddockAnswer) string {
	t := "MOVE OUT NOW"
	if s.coming() {
		t = "MOVE OUT BEFORE " + s.on.Words()
	}
	if in.swath {
		t += " unless fenced to the swath"
	}
	return t + ": " + in.herd + " in " + s.name(p)
}

// coming reports a day asked about that lies after the moment.
func (s *speaker) coming() bool {
	return s.h != nil && !s.h.KnownAt.IsZero() && s.on > fields.DateOf(s.h.KnownAt, s.h.Loc)
}

// sortRows puts the worst first: stock that must move, then by flag, the later
// last day, then by name.
func sortRows(rows []Row) {
	sort.SliceStable(rows, func(i, j int) bool {
		x, y := &rows[i], &rows[j]
		switch {
		case x.MoveOut != y.MoveOut:
			return x.MoveOut
		case x.Flag != y.Flag:
			return x.Flag > y.Flag
		case x.Flag == hazard.Hold && throughKey(x.Date) != throughKey(y.Date):
			return throughKey(x.Date) > throughKey(y.Date)
		case x.Name != y.Name:
			return x.Name < y.Name
		}
		return x.ID < y.ID
	})
}

func total(rows []Row, one string) string {
	var n [hazard.Hold + 1]int
	for i := range rows {
		n[rows[i].Flag]++
	}
	return plural(len(rows), one) + ": " + strconv.Itoa(n[hazard.Hold]) + " NO, " +
		strconv.Itoa(n[hazard.Caution]) + " ASK FIRST, " + strconv.Itoa(n[hazard.Clear]) + " YES"
}

func (s *speaker) id(p *hazard.PaddockAnswer) string {
	if p.Paddock == nil {
		return ""
	}
	return p.Paddock.ID
}

func (s *speaker) name(p *hazard.PaddockAnswer) string {
	if p.Paddock == nil {
		return "?"
	}
	if n := Clean(p.Paddock.Name); n != "" {
		return n
	}
	return Clean(p.Paddock.ID)
}

// header fills everything that does not depend on the rows.
func (s *speaker) header(l *List) {
	l.Farm = "This farm"
	l.On = s.on
	l.Data = s.a.Data
	l.Stamps = stamps(s.a.Data, " for some paddock")
	l.Unread = s.unreadLastNight()
	l.NightIn = l.Unread == ""
	l.NotAssessed = hazard.NotAssessed
	l.OnHold, l.Emergency, l.Defers = onHold, emergency, defers
	if s.h != nil {
		if n := Clean(s.h.Farm.Name); n != "" {
			l.Farm = n
		}
		l.KnownAt = "everything recorded"
		if !s.h.KnownAt.IsZero() {
			l.KnownAt = instant(s.h.KnownAt, s.h)
			l.Coming = s.coming()
		}
		l.Call = contacts(s.h.Farm.Contacts)
	}
	l.SetUp = setUpNext(s.h)
	l.Book = bookLine(s.book)
	l.Relaxed = relaxed(s.h, s.book)
	for i := range s.a.Notices {
		l.Notices = append(l.Notices, s.notice(&s.a.Notices[i]))
	}
	if len(l.Call) == 0 {
		l.Call = []string{"nobody to call is written down for this farm: write a number here ____________"}
	}
}

func contacts(c *fields.Contacts) []string {
	if c == nil {
		return nil
	}
	var out []string
	for _, x := range []struct{ role, who string }{{"manager", c.Manager}, {"backup", c.Backup}, {"vet", c.Vet}} {
		if w := Clean(x.who); w != "" {
			out = append(out, x.role+": "+w)
		}
	}
	return out
}

// stamps is how far the evidence reaches, in words; none is what is said where
// there is none.
func stamps(d hazard.DataThrough, of string) string {
	said := func(what string, d fields.Date) string {
		if d == fields.NoDate {
			return "no " + what + of
		}
		return "last " + what + " " + d.Words()
	}
	return said("night read", d.Night) + "; " + said("walk", d.Walk) + "; " + said("lab result", d.Lab)
}

// maxUnread is how many paddocks without a reading of last night are named.
const maxUnread = 6

// unreadLastNight says for which paddocks last night is not in, "" if it is for
// all or need not be.
func (s *speaker) unreadLastNight() string {
	if s.h != nil && (!s.h.Watched(s.on) || len(s.h.Standing()) == 0) {
		return ""
	}
	if len(s.a.Paddocks) == 0 { // an answer that leaves out what stands there
		return "for any paddock"
	}
	var names []string
	for i := range s.a.Paddocks {
		if p := &s.a.Paddocks[i]; p.Data.Night < s.on {
			names = append(names, s.name(p))
		}
	}
	switch n := len(names); {
	case n == 0:
		return ""
	case n == len(s.a.Paddocks) && n > 1:
		return "for any paddock"
	case n > maxUnread:
		return "for " + strconv.Itoa(n) + " of " + plural(len(s.a.Paddocks), "paddock")
	}
	sort.Strings(names)
	return "for " + join(names)
}

// setUpNext is what to type on a farm that has no paddocks or no herds yet.
func setUpNext(h *fields.History) []string {
	if h == nil {
		return nil
	}
	if len(h.Standing()) == 0 {
		return []string{"No paddock is written down yet. Type: rimegate paddock add --name \"North Slough\" north-slough"}
	}
	if len(h.Herds) == 0 {
		return []string{"No herd is written down yet, so every class of stock is asked for. Type: rimegate herd add --class bred-cattle --head 85 pairs"}
	}
	return nil
}

func bookLine(b *hazard.Rulebook) string {
	if b == nil {
		return "none"
	}
	digest := b.Digest
	if len(digest) > 12 {
		digest = digest[:12]
	}
	return Clean(b.Name) + " " + Clean(b.Version) + ", digest " + Clean(digest)
}

// Relaxed lists what is less cautious than the default rulebook in an answer, a
// narrowed frost watch included: one line each, beginning with RELAXED.
func Relaxed(a *hazard.Assessment) []string { return relaxed(a.History, a.Book) }

// relaxed lists what is less cautious than the default rulebook, a narrowed
// frost watch included.
func relaxed(h *fields.History, b *hazard.Rulebook) []string {
	var out []string
	watch := false
	if b != nil {
		for i := range b.Relaxed {
			out = append(out, relaxedLine(&b.Relaxed[i]))
			watch = watch || b.Relaxed[i].Rule == watchRule
		}
	}
	if h != nil && !watch {
		if w := h.NarrowedWatch(); w != nil && (b == nil || !hazard.WatchBacked(h, b)) {
			out = append(out, "RELAXED: the frost watch runs from "+monthDay(w.From)+" through "+monthDay(w.To)+" only; outside it, a night without a reading counts as no frost.")
		}
	}
	return out
}

// watchRecord is the fact a frost watch rests on.
func (s *speaker) watchRecord(w *fields.Watch) string {
	r := w.Record
	t := "Frost watch " + monthDay(w.From) + " through " + monthDay(w.To) + ", from the record of " + Clean(r.Station) + " (" +
		plural(r.Seasons, "season") + ", " + strconv.Itoa(r.FromYear) + " to " + strconv.Itoa(r.ToYear) + ")"
	if l := r.Lines[0]; l.Earliest.Month != 0 {
		t += ": " + s.u.temp(l.LineC) + " or colder not before " + monthDay(l.Earliest) + " nor after " + monthDay(l.Latest) + "; " + weather.NeverWords(r.Seasons)
	}
	return sentence(t)
}

// watchRule is the id under which a narrowed frost watch is listed.
const watchRule = "frost_watch"

func monthDay(m fields.MonthDay) string {
	return strconv.Itoa(m.Day) + " " + m.Month.String()
}

func relaxedLine(r *hazard.Relaxed) string {
	t := "RELAXED: " + Clean(r.Rule)
	if v := Clean(r.Value); v != "" {
		t += " is " + v
	}
	if d := Clean(r.Default); d != "" {
		t += " instead of " + d
	}
	if by := Clean(r.By); by != "" {
		t += ", by " + by
	}
	if r.Until != fields.NoDate && r.Until != hazard.NoEnd {
		t += ", through and including " + r.Until.Words()
	}
	if c := clause(r.Because); c != "" {
		t += ", because: " + c
	}
	return sentence(t)
}

func (s *speaker) notice(n *hazard.Notice) string {
	what := "An entry"
	switch n.Kind {
	case hazard.NoticeWater:
		t := "STOCK WATER: " + s.waterCause(n.Water)
		if len(n.Drinks) > 0 {
			t += ". It is the water of " + join(s.drinkers(n.Drinks))
		}
		return sentence(t + ". Next: " + waterAct)
	case hazard.NoticeHeight:
		return sentence("NOTICE: " + s.u.in(fields.Height, n.CM) + " in " + paddockName(s.h, n.Paddock) + when(n.On) + " cannot have grown since it was sown" +
			when(n.Sown) + ": one of the two is wrong. The height counts as it was logged; strike the wrong entry")
	case hazard.NoticeWatch:
		return s.watchRecord(n.Watch)
	case hazard.NoticeStruckIncident:
		what = "An incident"
	case hazard.NoticeStruckKeepOff:
		what = "A veterinarian's keep-off"
	}
	t := "NOTICE: " + what
	switch {
	case n.Lot != "":
		t += " about lot " + Clean(n.Lot)
	case n.Paddock != "":
		t += " about " + paddockName(s.h, n.Paddock)
	}
	t += " was struck" + when(n.On)
	if by := Clean(n.By); by != "" {
		t += " by " + by
	}
	if c := clause(n.Because); c != "" {
		t += ", because: " + c
	}
	t = sentence(t)
	if n.Through != fields.NoDate {
		t += " This line is printed through and including " + n.Through.Words() + "."
	}
	return t
}

// drinkers are paddocks and herds by their names.
func (s *speaker) drinkers(ids []string) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = Clean(id)
		if s.h != nil && s.h.Paddock(id) != nil {
			out[i] = paddockName(s.h, id)
		}
	}
	return out
}

// paddockRow is the worst of the classes asked.
func (s *speaker) paddockRow(p *hazard.PaddockAnswer, use hazard.Use, classes []hazard.Class, others bool) Row {
	find := func(c hazard.Class) *hazard.Verdict { return p.Verdict(use, c) }
	v := needed(worstOf(find, classes), s.id(p))
	r := s.row(v, find, classes)
	r.ID, r.Name, r.Data = s.id(p), s.name(p), p.Data
	for _, in := range standing(s.a, p) {
		r.Inside = append(r.Inside, in.herd)
		r.MoveOut = r.MoveOut || in.flag == hazard.Hold
	}
	if others {
		for _, u := range hazard.PaddockUses {
			if u == use {
				continue
			}
			if o := worstOf(func(c hazard.Class) *hazard.Verdict { return p.Verdict(u, c) }, classes); o != nil {
				t := u.String() + ": " + PaperWord(o.Flag)
				if w := ThroughWords(o.Flag, o.Through); w != "" {
					t += ", " + w
				}
				r.Others = append(r.Others, t)
			}
		}
	}
	return r
}

func (s *speaker) lotRow(l *hazard.LotAnswer, classes []hazard.Class) Row {
	v := needed(worstOf(l.Verdict, classes), l.Lot)
	r := s.row(v, l.Verdict, classes)
	r.ID, r.Data = l.Lot, l.Data
	r.Name = lotName(l)
	if share := lotShare(v); share >= 0 && v.Flag != hazard.Hold {
		r.Share = "at most " + number(share, 1) + " % of the ration's dry matter"
	}
	if v.FeedFrom != fields.NoDate && v.FeedFrom != hazard.NoEnd && v.FeedFrom > s.on {
		r.FeedFrom = "the waits allow feeding from " + v.FeedFrom.Words()
	}
	r.Danger = s.siloGas(l)
	return r
}

func lotName(l *hazard.LotAnswer) string {
	t := Clean(l.Lot)
	if k := Clean(string(l.Facts.LotKind)); k != "" {
		t += " (" + k + ")"
	}
	return t
}

// siloGas is the line for people, not for stock: DANGER is kept for it.
func (s *speaker) siloGas(l *hazard.LotAnswer) string {
	if l.SiloGasThrough == fields.NoDate || s.on > l.SiloGasThrough {
		return ""
	}
	return "DANGER TO PEOPLE: silo gas. Stay out of and away from it through and including " + l.SiloGasThrough.Words() + "."
}

// lotShare is the smallest share any hazard sets, -1 where none does.
func lotShare(v *hazard.Verdict) float64 {
	share := -1.0
	for i := range v.Hazards {
		if m := v.Hazards[i].MaxShare; v.Hazards[i].Hazard == hazard.Nitrate && m >= 0 && (share < 0 || m < share) {
			share = m
		}
	}
	return share
}

// row makes the parts that paddocks and lots share.
func (s *speaker) row(v *hazard.Verdict, find func(hazard.Class) *hazard.Verdict, classes []hazard.Class) Row {
	r := Row{
		Use: v.Use, Flag: v.Flag, Word: FlagWord(v.Flag), Paper: PaperWord(v.Flag),
		Date: v.Through, Through: ThroughWords(v.Flag, v.Through), Class: v.Class, Need: v.Need,
		Differ: differ(find, classes),
	}
	top := worstReason(v)
	if v.Flag == hazard.Clear {
		r.Why = s.clearWhy(v)
		return r
	}
	if top == nil {
		r.Why = "No reason was given: treat it as NO and ask."
		return r
	}
	r.Why = s.short(top, v.Use)
	r.More = -1
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			if v.Hazards[i].Reasons[j].Flag == v.Flag {
				r.More++
			}
		}
	}
	r.Next = s.lifts(top)
	return r
}

// worstReason is the reason that makes the verdict: of the worst flag, the
// latest last day, and what needs a decision before what only needs days.
func worstReason(v *hazard.Verdict) *hazard.Reason {
	var top *hazard.Reason
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			r := &v.Hazards[i].Reasons[j]
			if top == nil || worseReason(r, top) {
				top = r
			}
		}
	}
	return top
}

func worseReason(a, b *hazard.Reason) bool {
	if a.Flag != b.Flag {
		return a.Flag > b.Flag
	}
	if a.Flag == hazard.Hold && throughKey(a.Through) != throughKey(b.Through) {
		return throughKey(a.Through) > throughKey(b.Through)
	}
	return a.Need > b.Need
}

// clearWhy names what a CLEAR rests on, prussic acid and nitrate both.
func (s *speaker) clearWhy(v *hazard.Verdict) string {
	t := ""
	for i := range v.Hazards {
		if v.Hazards[i].Hazard == hazard.Veterinary || len(v.Hazards[i].Reasons) == 0 {
			continue
		}
		if t != "" {
			t += " "
		}
		t += s.short(&v.Hazards[i].Reasons[0], v.Use)
	}
	if t == "" {
		return "No reason was given: ask."
	}
	return t
}

// short is a reason without "keep out through ...": the row says that already.
func (s *speaker) short(r *hazard.Reason, use hazard.Use) string {
	if r.SoftBy != nil {
		return s.reason(r, use)
	}
	t, ok := s.cause(r)
	if !ok {
		t = noWords
	}
	if r.Flag == hazard.Hold && canRestart[r.Line] {
		t += " (longer if it freezes again)"
	}
	return sentence(t)
}

// differ says which classes differ: empty when all have the same answer.
func differ(find func(hazard.Class) *hazard.Verdict, classes []hazard.Class) []string {
	type group struct {
		v  *hazard.Verdict
		cs []hazard.Class
	}
	var groups []group
next:
	for _, c := range classes {
		v := find(c)
		if v == nil {
			continue
		}
		for i := range groups {
			g := groups[i].v
			if g.Flag == v.Flag && (v.Flag != hazard.Hold || throughKey(g.Through) == throughKey(v.Through)) {
				groups[i].cs = append(groups[i].cs, c)
				continue next
			}
		}
		groups = append(groups, group{v, []hazard.Class{c}})
	}
	if len(groups) < 2 {
		return nil
	}
	sort.SliceStable(groups, func(i, j int) bool { return worse(groups[i].v, groups[j].v) })
	var out []string
	for _, g := range groups {
		t := PaperWord(g.v.Flag) + " for " + classList(g.cs)
		if w := ThroughWords(g.v.Flag, g.v.Through); w != "" {
			t += ", " + w
		}
		out = append(out, t)
	}
	return out
}
