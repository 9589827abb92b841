package board

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"iter"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

// Record is the story of a paddock's land or a lot of feed over a period, as it was
// known at a moment: for a veterinarian or an insurer. All its texts are clean.
type Record struct {
	Head
	ID, Name string
	From, To fields.Date
	Grows    []string // what is said of the land or the lot, sentences
	Parts    []RecordPart
	Season   Season // of a paddock, for a picture
	Again    string // what prints it again
	Printed  string // when and by which program, not part of what the digest is of
	lot      bool
	stock    []hazard.Class // that it answers for

	Entries []RecordEntry // all that it tells, by id
}

// RecordPart is one part of a record.
type RecordPart struct {
	Title string
	Says  []string // before the rows
	Rows  []RecordRow
}

// RecordRow is one line of a part.
type RecordRow struct {
	When  string
	Word  string   // what comes first and strong: an answer with its last day, STRUCK, or nothing
	Lines []string // the first is the main one
}

// RecordEntry is an entry that a record tells, by itself or in a night.
type RecordEntry struct {
	ID, Words string
	shown     bool // under its id
}

// RecordOf says what a record is to tell.
type RecordOf struct {
	ID       string
	From, To fields.Date
	Land     []string // the paddocks whose land it is or was part of; nil of a lot
	About    func(*fields.Fact) bool
}

// Asked is what was answered at a moment, of the land or the lot alone.
type Asked struct {
	*hazard.Assessment
	Read *fields.Fact // who signed the page at that moment; nil on a morning
}

// RecordWidth is how wide the text of a record is, whatever it is printed on.
const RecordWidth = 80

// recorder makes a record.
type recorder struct {
	q       RecordOf
	end     *speaker         // the last day, as known at the record's moment
	all     *fields.History  // everything written down by then
	classes []hazard.Class   // asked for
	runs    [2][]recordRun   // by recordUses
	cited   map[string]bool  // entries that an answer rests on
	rules   map[string][]int // by rule: its sources
	sources []string
	relaxed []string
	reads   []RecordRow
	told    map[string]int // by id: where in the record's entries
	out     *Record
}

// recordUses are the uses that a record of land answers for; of a lot it is to feed it.
var recordUses = []hazard.Use{hazard.Graze, hazard.SwathGraze}

// recordRun is a run of mornings with one answer.
type recordRun struct {
	from, to fields.Date
	at       string // the hour, of a moment that is no morning
	recorded
}

// recorded is the answer of a morning.
type recorded struct {
	worst  hazard.Flag // Unknown where there was nothing to ask about yet
	says   string      // "NO through Sat 5 Dec 2026"
	differ string
	key    string   // of what it rests on: mornings of one key are one run
	why    []string // as of the first morning: "8 days ago" is another one on the next
	cannot bool     // a use that cannot be, since no swath lies
}

// NewRecord makes a record. End is the farm on the last day as known at the record's
// moment, with the answers of the land or the lot alone; all is everything written down
// by that moment, whatever its day. The error of an unknown id is one plain sentence.
func NewRecord(q RecordOf, end *hazard.Assessment, all *fields.History, asked iter.Seq[Asked]) (*Record, error) {
	s := newSpeaker(end, UnitsOf(end.History))
	s.beside = fields.NoDate
	p, err := s.subject(q.ID)
	if err != nil {
		return nil, err
	}
	r := &recorder{
		q: q, end: s, all: all, classes: FarmClasses(end.History), cited: map[string]bool{}, rules: map[string][]int{},
		told: map[string]int{}, relaxed: Relaxed(end),
		out: &Record{Head: s.head(""), ID: q.ID, Name: p.name, From: q.From, To: q.To, lot: p.lot != nil, stock: FarmClasses(end.History)},
	}
	if !end.History.KnownAt.IsZero() { // kept for years, so with its year
		r.out.KnownAt = datedInstant(end.History.KnownAt, end.History)
	}
	r.out.Season = r.season()
	for a := range asked {
		r.take(a)
	}
	r.out.Relaxed = r.relaxed
	r.out.Grows = r.grows(p)
	for _, part := range []RecordPart{
		r.answers(0), r.answers(1), r.of("ANIMALS AND THE VETERINARIAN", fields.KindIncident, fields.KindVet), r.results(),
		{Title: "WHO SIGNED THE MORNING PAGE", Rows: r.reads},
		r.nights(), r.entries(), r.cites(),
	} {
		if len(part.Rows) > 0 {
			r.out.Parts = append(r.out.Parts, part)
		}
	}
	r.out.Again = "rimegate record --from " + q.From.String() + " --to " + q.To.String() + " --known-at " +
		all.KnownAt.UTC().Format(time.RFC3339Nano) + " " + Clean(q.ID)
	return r.out, nil
}

// grows is what is known of the land or the lot on the last day.
func (r *recorder) grows(p *subject) []string {
	s := r.end
	if l := p.lot; l != nil {
		out := append([]string{after("Holds ", join(cleanAll(l.Facts.Species)))}, s.made(l)...)
		if l.Facts.Seller != "" {
			out = append(out, "sold by "+Clean(l.Facts.Seller))
		}
		return texts(append(out, s.usedUp(l.Lot)), sentence)
	}
	out := []string{after("Grows ", s.species(p.paddock.Species...))}
	if a := p.paddock.Paddock.AreaHa; a != nil {
		out = append(out, s.u.in(fields.Area, *a))
	}
	out = append(out, s.stand(&p.paddock.Stand)...)
	if older := slices.DeleteFunc(slices.Clone(r.q.Land), func(id string) bool { return id == r.q.ID }); len(older) > 0 {
		out = append(out, "what was logged of "+gateNames(s.h, older)+" is told too: the land is the same")
	}
	return texts(out, sentence)
}

// take takes in what was answered at a moment.
func (r *recorder) take(a Asked) {
	s := newSpeaker(a.Assessment, r.end.u)
	s.cited, s.beside = r.end.cited, fields.NoDate
	for i, use := range recordUses {
		if r.q.Land == nil {
			use = hazard.Feed
		}
		if i > 0 && use == hazard.Feed {
			break
		}
		x := r.answer(s, use)
		switch {
		case a.Read != nil && i == 0:
			r.reads = append(r.reads, RecordRow{
				When: datedInstant(a.Read.Recorded, r.all), Word: x.says,
				Lines: []string{
					"This was the answer " + useWords(use) + " when " + or(Clean(a.Read.Signer()), "nobody named") + " signed the page.",
					r.writtenDown(a.Read),
				},
			})
			r.tell(a.Read, true)
		case a.Read != nil && !x.cannot:
			row := &r.reads[len(r.reads)-1]
			row.Lines = append(row.Lines, sentence(useWords(use)+": "+x.says))
		case a.Read == nil:
			r.runs[i] = addRun(r.runs[i], recordRun{from: s.on, to: s.on, at: r.hour(s), recorded: x})
		}
		if i == 0 && a.Read == nil {
			r.out.Season.answer(s.on, x.worst)
		}
	}
	if a.Read == nil {
		for _, x := range Relaxed(a.Assessment) {
			r.relaxed = unite(r.relaxed, x)
		}
	}
}

// hour is the hour of a moment that is no morning, "" of one.
func (r *recorder) hour(s *speaker) string {
	if s.h.KnownAt.Equal(s.on.At(hazard.ClockHour, 0, r.all.Loc)) { // its own history may not know the zone yet
		return ""
	}
	return s.h.KnownAt.In(r.all.Loc).Format("15:04")
}

func addRun(runs []recordRun, x recordRun) []recordRun {
	if n := len(runs); n > 0 {
		last := &runs[n-1]
		if last.to+1 == x.from && last.at == x.at && last.says == x.says && last.differ == x.differ && last.key == x.key {
			last.to = x.to
			return runs
		}
	}
	return append(runs, x)
}

// answer is the worst answer over the farm's classes, and over the paddocks that stood
// on the land.
func (r *recorder) answer(s *speaker, use hazard.Use) recorded {
	places := append(s.paddocks(Filter{}), s.lots(Filter{})...)
	of := func(c hazard.Class) *hazard.Verdict {
		var worst *hazard.Verdict
		for i := range places {
			v := worstOf(func(c hazard.Class) *hazard.Verdict { return places[i].verdict(use, c) }, []hazard.Class{c})
			if worst == nil || v != nil && gradeOf(v).worse(gradeOf(worst)) {
				worst = v
			}
		}
		return worst
	}
	worst := worstOf(of, r.classes)
	if worst == nil {
		return recorded{says: "Not on file yet", cannot: use == hazard.SwathGraze}
	}
	x := recorded{worst: worst.Flag, says: PaperWord(worst.Flag) + throughOf(worst.Flag, worst.Through).tail(r.end.beside)}
	x.cannot = use == hazard.SwathGraze && worst.CannotBe()
	x.differ = sentence(strings.Join(r.end.differing(of, r.classes), "; "))
	if len(r.q.Land) > 1 {
		x.says += " (" + join(texts(places, func(p subject) string { return p.name })) + ")"
	}
	for _, v := range reasonsOf(worst) {
		if v.Flag != worst.Flag {
			continue
		}
		x.key += fmt.Sprintln(v.Line, v.Through, v.On, v.Species, v.Entries, v.Nights)
		if t := s.short(v, use); worst.Flag != hazard.Clear && !contains(x.why, t) {
			x.why = append(x.why, t)
		}
	}
	if worst.Flag == hazard.Clear {
		x.why = []string{s.clearWhy(worst)}
	}
	if !x.cannot {
		for _, c := range r.classes {
			r.cite(s, of(c))
		}
	}
	return x
}

// cite keeps what an answer rests on.
func (r *recorder) cite(s *speaker, v *hazard.Verdict) {
	for _, x := range reasonsOf(v) {
		for _, id := range x.Entries {
			r.cited[id] = true
		}
		rule := Clean(x.Rule)
		for _, source := range s.sources(x) {
			i := slices.Index(r.sources, source)
			if i < 0 {
				i = len(r.sources)
				r.sources = append(r.sources, source)
			}
			if !slices.Contains(r.rules[rule], i) {
				r.rules[rule] = append(r.rules[rule], i)
			}
		}
	}
}

// answers are the mornings of a use in runs of equal days.
func (r *recorder) answers(use int) RecordPart {
	name := useWords(recordUses[use])
	if r.q.Land == nil {
		name = useWords(hazard.Feed)
	}
	part := RecordPart{
		Title: "THE ANSWER EACH MORNING: MAY IT BE USED " + strings.ToUpper(name) + "?",
		Says: []string{
			"For " + ClassWords(r.classes) + ", the worst of them. Worked out anew with the rules named above from what " +
				"was logged by " + strconv.Itoa(hazard.ClockHour) + ":00 of each morning; of mornings with one " +
				"answer for the same reasons, the first is told.",
		},
	}
	runs := r.runs[use]
	if use > 0 && (r.q.Land == nil || !slices.ContainsFunc(runs, func(x recordRun) bool { return !x.cannot })) {
		return part
	}
	for i := range runs {
		x := &runs[i]
		row := RecordRow{When: x.from.Words(), Word: x.says, Lines: x.why}
		if n := x.to.Sub(x.from) + 1; n > 1 {
			row.When += " through " + x.to.Words() + ", " + plural(n, "morning")
		}
		row.When += after(", at ", x.at)
		if x.differ != "" {
			row.Lines = append(row.Lines, "Classes differ: "+x.differ)
		}
		part.Rows = append(part.Rows, row)
	}
	return part
}

// of are the entries of some kinds in the period.
func (r *recorder) of(title string, kinds ...fields.Kind) RecordPart {
	part := RecordPart{Title: title}
	for _, f := range r.facts() {
		if slices.Contains(kinds, f.Kind()) {
			part.Rows = append(part.Rows, r.row(&f))
		}
	}
	return part
}

// facts are the entries that the record tells, struck ones too: of the land or the lot
// in the period, and those of any day or place that an answer rests on.
func (r *recorder) facts() []fields.Fact {
	all := slices.Concat(r.all.Facts, r.all.StruckFacts())
	fields.SortFacts(all)
	within := func(d fields.Date) bool { return d == fields.NoDate || d >= r.q.From && d <= r.q.To }
	return slices.DeleteFunc(all, func(f fields.Fact) bool {
		strike, struck := r.all.Struck[f.ID]
		told := within(f.Date) || struck && within(strike.Date) // what stood there until then
		return !r.cited[f.ID] && !(told && (r.q.About(&f) || f.Kind() == fields.KindOverride))
	})
}

// row is an entry with who wrote it down and when, and who struck it.
func (r *recorder) row(f *fields.Fact) RecordRow {
	r.tell(f, true)
	says := sentence(EntryWords(f.Entry, r.all, r.end.u))
	row := RecordRow{When: f.Date.Words(), Lines: []string{says, r.writtenDown(f)}}
	if by, ok := r.all.Struck[f.ID]; ok && f.Kind() != fields.KindStrike {
		row.Word = "STRUCK"
		row.Lines = append(row.Lines, sentence("Struck "+NewPast(*f, &by, r.all).Struck))
	}
	return row
}

func (r *recorder) tell(f *fields.Fact, shown bool) {
	if i, ok := r.told[f.ID]; ok {
		r.out.Entries[i].shown = r.out.Entries[i].shown || shown
		return
	}
	r.told[f.ID] = len(r.out.Entries)
	r.out.Entries = append(r.out.Entries, RecordEntry{Clean(f.ID), EntryLine(f.Entry, r.all, r.end.u), shown})
}

// writtenDown says who wrote an entry down, when, how long after it happened, and under
// which id.
func (r *recorder) writtenDown(f *fields.Fact) string {
	t := or(Clean(f.Signer()), "Nobody named") + ", logged " + datedInstant(f.Recorded, r.all)
	if n := fields.DateOf(f.Recorded, r.all.Loc).Sub(f.Date); f.Date != fields.NoDate && n > 0 {
		t += ", " + plural(n, "day") + " after"
	}
	return t + after("; import ", f.Batch) + "; entry " + Clean(f.ID)
}

// results are the laboratory's figures as they were typed.
func (r *recorder) results() RecordPart {
	part := RecordPart{Title: "RESULTS OF LABORATORIES AND TESTS"}
	for _, f := range r.facts() {
		b, ok := f.Body.(*fields.Lab)
		if !ok {
			if f.Kind() == fields.KindWater {
				part.Rows = append(part.Rows, r.row(&f))
			}
			continue
		}
		row := r.row(&f)
		figure := map[fields.Analyte]string{"nitrate": "Nitrate ", "hcn": "Prussic acid "}[b.Analyte]
		figure += labValues(nil, f.Entry) + after("; sample ", b.Sample) + r.laboratory(&f, b)
		row.Lines = append([]string{sentence(figure)}, row.Lines...)
		if b.FileSHA256 != "" {
			row.Lines = append(row.Lines, "File of the result, SHA-256: "+Clean(b.FileSHA256))
		}
		part.Rows = append(part.Rows, row)
	}
	return part
}

// laboratory names where the sample of a result was sent, as far as that was logged.
func (r *recorder) laboratory(f *fields.Fact, b *fields.Lab) string {
	for _, x := range r.all.Facts {
		s, ok := x.Body.(*fields.Sampled)
		if ok && s.Sample == b.Sample && b.Sample != "" && s.Lot == b.Lot && s.Paddock == b.Paddock && x.Date <= f.Date+60 {
			return after("; sent to ", s.Lab) + r.end.when(x.Date)
		}
	}
	return ""
}

// nights are those of the land, what was plain put together.
func (r *recorder) nights() RecordPart {
	part := RecordPart{Title: "THE NIGHTS", Says: []string{
		"Lows at the plants: the thermometer's reading with the paddock's own offset. Entries that tell of a night are " +
			"counted; those an answer rests on are told in full below.",
	}}
	if r.q.Land == nil {
		return part
	}
	rows := r.nightRows()
	for i := 0; i < len(rows); {
		j := i
		word := r.nightWord(&rows[i])
		plain := rows[i].Covered && !rows[i].Trigger && !rows[i].Possible || len(rows[i].Entries) == 0
		for plain && j+1 < len(rows) && r.nightWord(&rows[j+1]) == word {
			j++
		}
		part.Rows = append(part.Rows, r.nightRow(rows[i:j+1], word))
		i = j + 1
	}
	return part
}

// nightRows are the nights of the period that had come by the record's moment.
func (r *recorder) nightRows() []hazard.NightRow {
	to := min(r.q.To, fields.DateOf(r.all.KnownAt, r.all.Loc))
	return hazard.NightRows(r.end.h, r.end.book, r.q.ID, r.q.From, to)
}

func (r *recorder) nightWord(n *hazard.NightRow) string {
	at := r.end.h.KnownAt.In(r.end.h.Loc)
	return NightWord(n, fields.DateOf(at, r.end.h.Loc), at.Hour())
}

func (r *recorder) nightRow(rows []hazard.NightRow, word string) RecordRow {
	row := RecordRow{When: rows[0].Night.Words()}
	if n := len(rows); n > 1 {
		row.When += " through " + rows[n-1].Night.Words() + ", " + plural(n, "night")
	}
	var low, high *hazard.NightRow
	for i := range rows {
		n := &rows[i]
		if n.HasLow && (low == nil || n.LowC < low.LowC) {
			low = n
		}
		if n.HasLow && (high == nil || n.LowC > high.LowC) {
			high = n
		}
	}
	text := word
	switch {
	case low == nil:
	case low.LowC == high.LowC:
		text += ", low " + r.end.u.temp(low.LowC)
	default:
		text += ", lows from " + r.end.u.temp(low.LowC) + " to " + r.end.u.temp(high.LowC)
	}
	row.Lines = []string{sentence(text + r.toldBy(rows))}
	return row
}

// toldBy says how many entries tell of some nights, who wrote them down and from where.
func (r *recorder) toldBy(rows []hazard.NightRow) string {
	n := 0
	var by, from []string
	for i := range rows {
		for _, id := range rows[i].Entries {
			f, ok := r.end.entry(id)
			if !ok {
				continue
			}
			r.tell(&f, false)
			n++
			by = unite(by, Clean(f.Signer()))
			if b, ok := f.Body.(*fields.Reading); ok && b.Source != "" {
				from = unite(from, Clean(b.Source))
			}
		}
	}
	if n == 0 {
		return ""
	}
	return "; " + strconv.Itoa(n) + map[bool]string{true: " entry", false: " entries"}[n == 1] + after(" by ", join(by)) +
		after(", from ", join(from))
}

func unite(list []string, x string) []string {
	if contains(list, x) {
		return list
	}
	return append(list, x)
}

// entries is every entry in order.
func (r *recorder) entries() RecordPart {
	part := r.of("EVERY ENTRY, IN ORDER", fields.Kinds()...)
	part.Says = []string{"Nothing is ever rubbed out: a mistake is struck, and stays."}
	return part
}

// cites are the rules that answered, and where they come from.
func (r *recorder) cites() RecordPart {
	part := RecordPart{Title: "THE RULES THAT ANSWERED, AND THEIR SOURCES"}
	var rules []string
	for x := range r.rules {
		rules = append(rules, x)
	}
	slices.Sort(rules)
	number := map[int]int{} // sources in the order of the rules
	var order []int
	for _, x := range rules {
		slices.Sort(r.rules[x])
		refs := texts(r.rules[x], func(i int) string {
			if number[i] == 0 {
				order = append(order, i)
				number[i] = len(order)
			}
			return "[" + strconv.Itoa(number[i]) + "]"
		})
		part.Rows = append(part.Rows, RecordRow{When: x, Lines: []string{strings.Join(refs, " ")}})
	}
	for n, i := range order {
		part.Rows = append(part.Rows, RecordRow{When: "[" + strconv.Itoa(n+1) + "]", Lines: []string{r.sources[i]}})
	}
	return part
}

// PrintedWords say when a record was printed and by which version of the program.
func PrintedWords(at time.Time, h *fields.History, version string) string {
	return "Printed " + datedInstant(at, h) + " by rimegate " + Clean(version) + "."
}

// recordBegins and recordEnds stand around what the digest is of.
const (
	recordBegins = "RECORD OF "
	recordEnds   = "END OF THE RECORD"
	recordAgain  = "To print it again: "
	recordDigest = "Digest of the words above, SHA-256:"

	// RecordVerify says how to check a printed record.
	RecordVerify = "To check it against the journal: rimegate record --verify FILE"
)

// Title is what the record is of.
func (r *Record) Title() string {
	t := recordBegins + r.Name
	switch id := Clean(r.ID); {
	case r.lot:
		t = recordBegins + "lot " + r.Name
	case id != r.Name:
		t += " (" + id + ")"
	}
	return t + ", " + r.Farm
}

// Lead are the lines under the title, and Foot those at the end.
func (r *Record) Lead() []string {
	out := []string{
		r.From.Words() + " through " + r.To.Words() + ". Everything logged by " + r.KnownAt + ".",
		strings.Join(r.Grows, " "),
		"Rules: " + r.Rulebook.Name + " " + r.Rulebook.Version + ", digest " + r.Rulebook.Digest + ".",
	}
	return append(out, r.Relaxed...)
}

// Foot are the lines that close it.
func (r *Record) Foot() []string {
	return []string{
		"Call: " + strings.Join(r.Call, "; "), "Not assessed: " + strings.Join(r.NotAssessed, ", ") + ".", Defers,
		recordAgain + r.Again,
	}
}

// Text writes the record as plain text, RecordWidth wide.
func (r *Record) Text(w io.Writer) error {
	t := newText(w, RecordWidth)
	r.body(t)
	t.para("", "", recordDigest)
	d := r.Digest()
	t.lines = append(t.lines, "  "+d[:len(d)/2], "  "+d[len(d)/2+1:])
	t.each("", r.Printed, RecordVerify)
	return t.flush()
}

// body is all that the digest is of.
func (r *Record) body(t *text) {
	t.para("", "  ", r.Title())
	t.each("", r.Lead()...)
	for i := range r.Parts {
		p := &r.Parts[i]
		t.title(p.Title)
		t.each("", p.Says...)
		for j := range p.Rows {
			t.recordRow(&p.Rows[j])
		}
	}
	t.blank()
	t.each("", r.Foot()...)
	t.blank()
	t.para("", "", recordEnds)
}

func (t *text) recordRow(row *RecordRow) {
	lines := row.Lines
	if row.Word != "" {
		lines = append([]string{sentence(row.Word)}, lines...)
	}
	t.whole("", "  ", row.When+": "+lines[0])
	for _, x := range lines[1:] {
		t.para("    ", "      ", x)
	}
}

// Digest is the SHA-256 of the record's words, in eight groups: however the lines were
// broken on the way.
func (r *Record) Digest() string { return digestOf(r.words()) }

// words are what the digest is of, in one line.
func (r *Record) words() string {
	t := newText(io.Discard, RecordWidth)
	r.body(t)
	return oneLine(strings.Join(t.lines, "\n"))
}

func digestOf(words string) string {
	sum := sha256.Sum256([]byte(words))
	var groups []string
	for part := range slices.Chunk(sum[:], 4) {
		groups = append(groups, hex.EncodeToString(part))
	}
	return strings.Join(groups, " ")
}
