package judge

import (
	"encoding/json"
	"flag"
	"fmt"
	"math/bits"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

var (
	smallFlag  = flag.Int("small", 1, "try every small world of up to so many entries")
	strideFlag = flag.Int("stride", 97, "of the larger worlds of up to 3 entries, try each so manieth; 0 for none")
	themeFlag  = flag.String("theme", "", "try only the alphabets whose name holds this text")
)

// theme is an alphabet of entries and what stands beside every choice of them.
// Its file says it in lines:
//
//	# what it is about
//	book prussic.frost.dry_wait 3         a number of the rulebook that is another
//	ask 3 8@20:00 16                      days on which is asked, at 12:30 or the hour
//	def clean "killed":"all","dry":true   @clean stands for it
//	always -60 sown {"species":[...]}     in every world
//	f2 2 + frost {}                       a letter: name, day, sign, kind, body
//	f3 2@+4 + frost {} worse f2           written down 4 days later; f2 made worse
//	try f2 f3                             a world that the shortest run tries too
//
// Day 0 is 1 September 2026; "d5" in a body is day 5 and "d5T18:00" an hour of it.
// The sign says what more of it is: + bad news to add, - good news to take away, . neither.
// An entry is written down at 09:00 of its day, or at the hour or the days later behind its @.
type theme struct {
	name    string
	book    *hazard.Rulebook
	asks    []Question
	always  []fields.Entry
	letters []letter
	places  []Key   // the answers asked of every world
	known   []world // by question: the letters that may be known
	try     []world
}

type letter struct {
	name  string
	sign  byte
	entry fields.Entry
	of    []int // the letters it is a worse form of
}

var (
	dayZero    = fields.MakeDate(2026, 9, 1)
	letterLine = regexp.MustCompile(
		`^(\S+)\s+(-?\d+)(?:@(\S+))?(?:\s+([+.-]))?\s+([a-z-]+)\s+(\{.*\})(?:\s+worse\s+(.+))?$`)
	dayWord = regexp.MustCompile(`"d(-?\d+)(T\d\d:\d\d)?"`)
)

// readTheme reads an alphabet.
func readTheme(file string) (*theme, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	th := &theme{name: strings.TrimSuffix(filepath.Base(file), ".alphabet"), book: rules.Default()}
	r := &themeReader{theme: th, defs: map[string]string{}, worse: map[int]string{}}
	for i, line := range strings.Split(string(text), "\n") {
		if err := r.line(strings.TrimSpace(line)); err != nil {
			return nil, fmt.Errorf("%s:%d: %v", file, i+1, err)
		}
	}
	if err := r.finish(); err != nil {
		return nil, fmt.Errorf("%s: %v", file, err)
	}
	return th, nil
}

// themeReader reads an alphabet line by line.
type themeReader struct {
	*theme
	defs  map[string]string
	worse map[int]string // by letter: the names it is worse than
	names []string       // of the worlds to try
}

func (r *themeReader) line(line string) error {
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	switch word {
	case "", "#":
		return nil
	case "book":
		return r.setRule(rest)
	case "ask":
		for _, w := range strings.Fields(rest) {
			q, err := askOf(w)
			if err != nil {
				return err
			}
			r.asks = append(r.asks, q)
		}
		return nil
	case "try":
		r.names = append(r.names, rest)
		return nil
	case "def":
		name, body, _ := strings.Cut(rest, " ")
		r.defs["@"+name] = body
		return nil
	}
	m := letterLine.FindStringSubmatch(line)
	if m == nil {
		return fmt.Errorf("%q is no letter", line)
	}
	e, err := entryOf(len(r.always)*100+len(r.letters), m[2], m[3], m[5], replaceAll(m[6], r.defs))
	switch {
	case err != nil:
		return err
	case word == "always":
		r.always = append(r.always, *e)
		return nil
	case m[4] == "":
		return fmt.Errorf("%s has no sign", m[1])
	case m[7] != "":
		r.worse[len(r.letters)] = m[7]
	}
	r.letters = append(r.letters, letter{name: m[1], sign: m[4][0], entry: *e})
	return nil
}

func (r *themeReader) setRule(text string) error {
	id, number, _ := strings.Cut(text, " ")
	k, ok := hazard.RuleKeyOf(id)
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if !ok || err != nil {
		return fmt.Errorf("%q is no rule with a number", text)
	}
	b := *r.book
	b.V[k] = v
	r.book = &b
	return nil
}

// finish ties letters that name others and says what may be known when.
func (r *themeReader) finish() error {
	for i, names := range r.worse {
		w, err := r.named(names)
		if err != nil {
			return fmt.Errorf("%s is worse than: %v", r.letters[i].name, err)
		}
		for k := range r.letters {
			if w>>k&1 == 1 {
				r.letters[i].of = append(r.letters[i].of, k)
			}
		}
	}
	for _, names := range r.names {
		w, err := r.named(names)
		if err != nil {
			return fmt.Errorf("try: %v", err)
		}
		r.try = append(r.try, w)
	}
	for _, q := range r.asks {
		var known world
		for i := range r.letters {
			if !r.letters[i].entry.Recorded.After(q.Moment) {
				known |= 1 << i
			}
		}
		r.known = append(r.known, known)
	}
	r.findPlaces()
	return nil
}

// named is the world of letters.
func (th *theme) named(names string) (w world, err error) {
	for _, name := range strings.Fields(names) {
		k := slices.IndexFunc(th.letters, func(l letter) bool { return l.name == name })
		if k < 0 {
			return 0, fmt.Errorf("%s is no letter", name)
		}
		w |= 1 << k
	}
	return w, nil
}

func replaceAll(s string, defs map[string]string) string {
	for name, body := range defs {
		s = strings.ReplaceAll(s, name, body)
	}
	return s
}

// askOf reads a day to ask about: "8", "8@20:00", or "8+30", known 30 days later.
func askOf(w string) (q Question, err error) {
	w, hour, _ := strings.Cut(w, "@")
	if hour == "" {
		hour = "12:30"
	}
	day, later, _ := strings.Cut(w, "+")
	n, err := strconv.Atoi(day)
	if err != nil {
		return q, err
	}
	q.On = dayZero + date(n)
	at, err := time.Parse("15:04", hour)
	if err != nil {
		return q, err
	}
	n = 0
	if later != "" {
		n, err = strconv.Atoi(later)
	}
	q.Moment = (q.On + date(n)).At(at.Hour(), at.Minute(), time.UTC)
	return q, err
}

// ownDate is the field of a kind's own date.
var ownDate = map[string]string{
	"reading": "night", "forecast": "night", "frost": "night", "lab": "sampled_on", "water": "sampled_on",
	"lot": "made_on", "no-frost": "from", "fed": "from",
}

// entryOf makes an entry; paddock a is meant where a body names no place.
func entryOf(n int, day, at, kind, body string) (*fields.Entry, error) {
	d, err := strconv.Atoi(day)
	if err != nil {
		return nil, err
	}
	on := dayZero + date(d)
	recorded := on.At(9, 0, time.UTC)
	more, err := strconv.Atoi(at)
	switch {
	case err == nil:
		recorded = (on + date(more)).At(9, 0, time.UTC)
	case at != "":
		hour, err := time.Parse("15:04", at)
		if err != nil {
			return nil, err
		}
		recorded = on.At(hour.Hour(), hour.Minute(), time.UTC)
	}
	body = dayWord.ReplaceAllStringFunc(body, func(s string) string {
		m := dayWord.FindStringSubmatch(s)
		k, _ := strconv.Atoi(m[1])
		text := (dayZero + date(k)).String()
		if m[2] != "" {
			text += m[2] + ":00Z"
		}
		return `"` + text + `"`
	})
	m := map[string]json.RawMessage{}
	if err := json.Unmarshal([]byte(body), &m); err != nil {
		return nil, fmt.Errorf("%s: %v", body, err)
	}
	put := func(name, v string) {
		if _, said := m[name]; !said {
			m[name], _ = json.Marshal(v)
		}
	}
	put("id", fmt.Sprintf("0%025d", n))
	put("kind", kind)
	put("recorded", recorded.Format(time.RFC3339))
	put("by", "Ada")
	own := ownDate[kind]
	if own == "" {
		own = "on"
	}
	if own != "on" || m["at"] == nil {
		put(own, on.String())
	}
	switch kind {
	case "farm", "station", "herd", "strike", "split", "join", "lot", "water":
	default:
		if m["paddocks"] == nil && m["lot"] == nil && m["station"] == nil || kind == "cut" || kind == "paddock" {
			put("paddock", "a")
		}
	}
	text, err := json.Marshal(m)
	if err != nil {
		return nil, err
	}
	e, ps := fields.DecodeEntry(text)
	return e, ps.Err()
}

// findPlaces lists every answer that a world of the theme may give.
func (th *theme) findPlaces() {
	ids := map[Key]bool{}
	all := slices.Clone(th.always)
	for _, l := range th.letters {
		all = append(all, l.entry)
	}
	for i := range all {
		for _, p := range all[i].Paddocks() {
			ids[Key{Place: p}] = true
		}
		if b, ok := all[i].Body.(*fields.LotFacts); ok {
			ids[Key{Place: b.Lot, Lot: true}] = true
		}
	}
	for k := range ids {
		uses := hazard.PaddockUses
		if k.Lot {
			uses = []hazard.Use{hazard.Feed}
		}
		for _, u := range uses {
			for _, c := range hazard.Classes {
				for _, h := range hazard.Hazards {
					th.places = append(th.places, Key{k.Place, k.Lot, u, c, h})
				}
			}
		}
	}
	slices.SortFunc(th.places, func(a, b Key) int {
		if less(a, b) {
			return -1
		}
		return 1
	})
}

// world is a choice of letters, one bit each.
type world uint64

func (th *theme) entries(w world) []fields.Entry {
	es := slices.Clone(th.always)
	for i := range th.letters {
		if w>>i&1 == 1 {
			es = append(es, th.letters[i].entry)
		}
	}
	return es
}

// worlds are all choices of up to n letters by their size, and of the larger ones up to
// 3 each stride-th.
func (th *theme) worlds(n, stride int) [][]world {
	most := n
	if stride > 0 {
		most = max(n, 3)
	}
	by := make([][]world, len(th.letters)+1)
	var choose func(w world, from int)
	choose = func(w world, from int) {
		k := bits.OnesCount64(uint64(w))
		by[k] = append(by[k], w)
		for i := from; k < most && i < len(th.letters); i++ {
			choose(w|1<<i, i+1)
		}
	}
	choose(0, 0)
	for k := n + 1; k <= most; k++ {
		var some []world
		for i, w := range by[k] {
			if i%stride == 0 {
				some = append(some, w)
			}
		}
		by[k] = some
	}
	for _, w := range th.try {
		if k := bits.OnesCount64(uint64(w)); !slices.Contains(by[k], w) {
			by[k] = append(by[k], w)
		}
	}
	return by
}

// brief is a cell kept for comparing worlds.
type brief struct {
	flag    uint8 // 0: no such place
	through int32
	share   float32
}

// small gathers what one theme gives.
type small struct {
	*theme
	mu      sync.Mutex
	same    map[string]int32 // answers seen, as text: most worlds answer alike
	kept    [][]brief
	answers map[world][]int32 // by world and question
	found   findings

	verdicts, pairs atomic.Int64
	rests           map[rest]int
}

// keep stores the answers to one question, once for all worlds that answer so.
func (s *small) keep(a Answers) int32 {
	cells := make([]brief, len(s.places))
	text := make([]byte, 0, 4*len(cells))
	for i, k := range s.places {
		c, ok := a[k]
		if !ok {
			text = append(text, '/')
			continue
		}
		through := c.Through
		if c.Flag != hazard.Hold {
			through = 0
		}
		cells[i] = brief{uint8(c.Flag) + 1, int32(through), float32(c.Share)}
		text = strconv.AppendInt(append(text, byte('0'+c.Flag)), int64(through), 36)
		text = strconv.AppendFloat(append(text, ':'), c.Share, 'g', -1, 32)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	id, ok := s.same[string(text)]
	if !ok {
		id = int32(len(s.kept))
		s.same[string(text)] = id
		s.kept = append(s.kept, cells)
	}
	return id
}

// judge compares the engines on every question of a world. What was written down after
// the moment of a question cannot count (§3.8): there the smaller world has answered.
func (s *small) judge(w world, count func(hazard.Reason)) {
	es := s.entries(w)
	ids := make([]int32, len(s.asks))
	for i, q := range s.asks {
		if less := w & s.known[i]; less != w {
			s.mu.Lock()
			known := s.answers[less]
			s.mu.Unlock()
			if known != nil {
				ids[i] = known[i]
				continue
			}
		}
		engine := answersOf(hazard.Assess(fields.Fold(es, fields.View{On: q.On, KnownAt: q.Moment}), s.book), count)
		plain := Plain(es, q.On, q.Moment, s.book)
		s.verdicts.Add(int64(len(engine) / len(hazard.Hazards)))
		for _, d := range Differences(plain, engine) {
			s.found.add(kindOf(d), uint64(w), func() string { return showDifference(es, q, d, s.book) })
		}
		ids[i] = s.keep(engine)
	}
	s.mu.Lock()
	s.answers[w] = ids
	s.mu.Unlock()
}

// better lists where, of two kept answers, b is better than a.
func (s *small) better(a, b int32) (out []Key) {
	for i, x := range s.kept[a] {
		y := s.kept[b][i]
		if x.flag == 0 || y.flag == 0 {
			continue
		}
		hold := uint8(hazard.Hold) + 1
		if y.flag < x.flag || x.flag == hold && y.flag == hold && y.through < x.through ||
			y.flag < hold && grew(float64(x.share), float64(y.share)) {
			out = append(out, s.places[i])
		}
	}
	return out
}

// worsened holds a world against one that an edit makes of it.
func (s *small) worsened(w, worse world, e *Edit, name string) {
	a, b := s.answers[w], s.answers[worse]
	if b == nil {
		return
	}
	s.pairs.Add(1)
	var es []fields.Entry
	for i, q := range s.asks {
		if a[i] == b[i] {
			continue
		}
		keys := s.better(a[i], b[i])
		if len(keys) == 0 {
			continue
		}
		if es == nil {
			es = s.entries(w)
			if e.may != nil && !e.may(es) {
				s.pairs.Add(-1)
				return
			}
		}
		pass := e.Pass(es, q)
		for _, k := range keys {
			if pass != nil && pass(k) {
				continue
			}
			s.found.add(name+": "+k.Use.String()+" "+k.Hazard.String(), uint64(w), func() string {
				return showBetter(es, e, q, k, s.book, Engine)
			})
		}
	}
}

// edits are the worlds that are worse than w by one letter.
func (s *small) edits(w world) {
	wo := &worsener{s: &Season{Zone: time.UTC}, book: s.book}
	for i := range s.letters {
		l := &s.letters[i]
		bit := world(1) << i
		if w&bit == 0 {
			if l.sign == '+' {
				e := &Edit{Entry: &l.entry}
				wo.plants(e)
				s.worsened(w, w|bit, e, "add "+string(l.entry.Kind()))
			}
			for _, k := range l.of {
				if w>>k&1 == 1 {
					n := l.entry
					n.ID = s.letters[k].entry.ID
					s.worsened(w, w&^(1<<k)|bit, &Edit{Target: n.ID, Entry: &n}, "worsen "+string(l.entry.Kind()))
				}
			}
			continue
		}
		if l.sign == '-' {
			s.worsened(w, w&^bit, &Edit{Target: l.entry.ID, may: wo.goodNews(l.entry.ID)}, "take away "+string(l.entry.Kind()))
		}
	}
}

// run tries the worlds of all letters up to n, and some larger ones; it returns how many.
func (s *small) run(n, stride int) (tried int) {
	each := func(ws []world, do func(w world)) {
		var next atomic.Int64
		var wg sync.WaitGroup
		for range runtime.GOMAXPROCS(0) {
			wg.Add(1)
			go func() {
				defer wg.Done()
				for i := next.Add(1) - 1; int(i) < len(ws); i = next.Add(1) - 1 {
					do(ws[i])
				}
			}()
		}
		wg.Wait()
	}
	by := s.worlds(n, stride)
	for _, ws := range by {
		tried += len(ws)
		each(ws, s.count)
	}
	for _, ws := range by {
		each(ws, s.edits)
	}
	return tried
}

// rest is what a reason rests on.
type rest struct {
	line hazard.Line
	rule string
}

// count judges a world and counts what its answers rest on.
func (s *small) count(w world) {
	rests := map[rest]int{}
	s.judge(w, func(r hazard.Reason) { rests[rest{r.Line, r.Rule}]++ })
	s.mu.Lock()
	defer s.mu.Unlock()
	for r, c := range rests {
		s.rests[r] += c
	}
}

// Of small alphabets of entries every choice is tried: both engines give the same answers
// for all uses, classes and lots, and no choice made worse is answered better. The
// alphabets lead to every line of the contract and every rule it names.
func TestSmallWorlds(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("testdata", "small", "*.alphabet"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no alphabets: %v", err)
	}
	n, stride := *smallFlag, *strideFlag
	if testing.Short() {
		n, stride = 1, 0
	}
	lines, ids := map[string]int{}, map[string]int{}
	worlds, verdicts, pairs := 0, int64(0), int64(0)
	for _, file := range files {
		if !strings.Contains(file, *themeFlag) {
			continue
		}
		th, err := readTheme(file)
		if err != nil {
			t.Fatal(err)
		}
		s := &small{
			theme: th, same: map[string]int32{}, answers: map[world][]int32{}, rests: map[rest]int{},
		}
		tried := s.run(n, stride)
		t.Logf("%s: %d letters, %d worlds, %d verdicts, %d worse pairs",
			th.name, len(th.letters), tried, s.verdicts.Load(), s.pairs.Load())
		s.found.report(t)
		worlds, verdicts, pairs = worlds+tried, verdicts+s.verdicts.Load(), pairs+s.pairs.Load()
		for r, c := range s.rests {
			name := "Line" + LineName(r.line)
			lines[name] += c
			ids[name+" "+r.rule] += c
		}
		if err := s.write(tried, n); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d worlds, %d verdicts, %d worse pairs; lines: %s", worlds, verdicts, pairs, counts(lines))
	if *themeFlag != "" || testing.Short() {
		return
	}
	t.Logf("rules: %s", counts(ids))
	for _, l := range hazard.ContractLines() {
		for _, id := range l.Rules {
			if ids[l.Name+" "+id] == 0 {
				t.Errorf("no small world rests on %s by %s: give an alphabet what leads to it", l.Name, id)
			}
		}
	}
}

// write appends a row to the ledger, if one is asked for: date, alphabet, letters, most
// entries, worlds, verdicts, worse pairs, findings, commit.
func (s *small) write(worlds, n int) error {
	if *ledgerFlag == "" {
		return nil
	}
	f, err := os.OpenFile(*ledgerFlag, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	total := 0
	for _, c := range s.found.count {
		total += c
	}
	fmt.Fprintf(f, "%s,%s,%d,%d,%d,%d,%d,%d,%s\n",
		time.Now().UTC().Format(time.DateOnly), s.name, len(s.letters), n, worlds,
		s.verdicts.Load(), s.pairs.Load(), total, *commitFlag)
	return f.Close()
}
