package board

import (
	"bytes"
	_ "embed" // the schemas ship inside the program
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"sync"

	"rimegate/fields"
	"rimegate/hazard"
)

// Schema names the form of the JSON answers; schema/today-1.schema.json
// describes it.
const Schema = "rimegate/today/1"

// JSON Schemas (draft 2020-12).
var (
	// TodaySchema is of TodayJSON, WhyJSON and each line of StreamJSON.
	//go:embed schema/today-1.schema.json
	TodaySchema []byte
	// AheadSchema is of Strip.JSON.
	//go:embed schema/ahead-1.schema.json
	AheadSchema []byte
	// MovesSchema is of Moves.JSON.
	//go:embed schema/moves-1.schema.json
	MovesSchema []byte
	// CompareSchema is of Comparison.JSON.
	//go:embed schema/compare-1.schema.json
	CompareSchema []byte
	// DistrictSchema is of District.JSON.
	//go:embed schema/district-1.schema.json
	DistrictSchema []byte
	// NightsSchema is of the nights as JSON.
	//go:embed schema/nights-1.schema.json
	NightsSchema []byte
)

type jsonToday struct {
	Head
	Notices  []jsonNotice  `json:"notices"`
	Paddocks []jsonPaddock `json:"paddocks"`
	Lots     []jsonLot     `json:"lots"`
}

type jsonNotice struct {
	Kind    string  `json:"kind"`
	Paddock *string `json:"paddock"`
	Lot     *string `json:"lot"`
	Entry   string  `json:"entry"`
	By      string  `json:"by"`
	Because string  `json:"because"`
	On      Day     `json:"on"`
	Through Day     `json:"through"`
	Text    string  `json:"text"`
}

type jsonPaddock struct {
	Paddock     string   `json:"paddock"`
	Name        string   `json:"name"`
	HerdsInside []string `json:"herds_inside"`
	DataThrough Stamps   `json:"data_through"`
	Verdicts    []Answer `json:"verdicts"`
	Tasks       []Task   `json:"tasks"`
}

type jsonLot struct {
	Lot            string   `json:"lot"`
	Kind           string   `json:"kind"`
	DataThrough    Stamps   `json:"data_through"`
	Suspect        bool     `json:"suspect"`
	SiloGasThrough Day      `json:"silo_gas_through"`
	Verdicts       []Answer `json:"verdicts"`
}

// TodayJSON is the day's answers as one JSON document: all paddocks, uses and
// classes, and all lots, unless filtered; paddocks worst first, in the order
// of the morning list.
func TodayJSON(a *hazard.Assessment, f Filter) ([]byte, error) {
	s := newSpeaker(a, UnitsOf(a.History))
	doc := s.document(f, worstFirst(s.paddocks(f), f.ListUse(), f.ListClasses(s.h)), s.lots(f))
	return indent(&doc)
}

// WhyJSON is TodayJSON of one paddock or lot. The error of an unknown id is
// one plain sentence.
func WhyJSON(a *hazard.Assessment, id string, f Filter) ([]byte, error) {
	s := newSpeaker(a, UnitsOf(a.History))
	p, err := s.subject(id)
	if err != nil {
		return nil, err
	}
	doc := s.document(f, []subject{*p}, nil)
	return indent(&doc)
}

// StreamJSON writes one line a paddock in order of id, each a whole document
// of the same schema with that paddock alone; asked of feeding, one line a
// lot. It holds few answers at a time, and returns the writer's error.
func StreamJSON(w io.Writer, h *fields.History, book *hazard.Rulebook, f Filter) error {
	if !f.wantsPaddocks() {
		return stream(w, hazard.Assess(h, book).Naming(f.Paddock), f)
	}
	facts := factsOf(h)
	var once sync.Once
	var before []byte
	lines := sync.Pool{New: func() any { return new(bytes.Buffer) }} // written ones are used again
	return hazard.EachPaddock(h, book, f.names, func(a *hazard.Assessment) *bytes.Buffer {
		s := newSpeaker(a, UnitsOf(h))
		s.facts = facts
		once.Do(func() { before = s.beforePaddock() })
		b := lines.Get().(*bytes.Buffer)
		b.Reset()
		b.Write(before)
		var doc jsonToday
		s.answers(&doc, f, s.paddocks(f))
		if err := encoder(b).Encode(&doc.Paddocks[0]); err != nil {
			panic(err) // nothing in an answer is unfit for JSON
		}
		b.Truncate(b.Len() - len("\n"))
		b.WriteString(afterPaddock)
		return b
	}, func(line *bytes.Buffer) error {
		_, err := w.Write(line.Bytes())
		lines.Put(line)
		return err
	})
}

// afterPaddock is what stands behind the paddocks of a document.
const afterPaddock = `],"lots":[]}` + "\n"

// beforePaddock is what stands before them.
func (s *speaker) beforePaddock() []byte {
	var b bytes.Buffer
	doc := s.envelope()
	if err := encoder(&b).Encode(&doc); err != nil {
		panic(err)
	}
	return bytes.TrimSuffix(b.Bytes(), []byte(afterPaddock))
}

// stream writes a line for each paddock or lot of an assessment.
func stream(w io.Writer, a *hazard.Assessment, f Filter) error {
	s := newSpeaker(a, UnitsOf(a.History))
	ps := s.paddocks(f)
	if !f.wantsPaddocks() {
		ps = s.lots(f)
	}
	e := encoder(w)
	whole := s.envelope()
	for _, p := range ps {
		doc := whole
		s.answers(&doc, f, []subject{p})
		if err := e.Encode(&doc); err != nil {
			return err
		}
	}
	return nil
}

// encoder keeps < > & as they are: the output is data, not a page.
func encoder(w io.Writer) *json.Encoder {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e
}

func indent(doc any) ([]byte, error) {
	var b bytes.Buffer
	e := encoder(&b)
	e.SetIndent("", "  ")
	if err := e.Encode(doc); err != nil {
		return nil, fmt.Errorf("the answers cannot be written as JSON: %w", err)
	}
	return b.Bytes(), nil
}

func (s *speaker) document(f Filter, paddocks, lots []subject) jsonToday {
	doc := s.envelope()
	s.answers(&doc, f, append(paddocks, lots...))
	return doc
}

// envelope is a document without paddocks and lots.
func (s *speaker) envelope() jsonToday {
	doc := jsonToday{Head: s.head(Schema), Notices: []jsonNotice{}, Paddocks: []jsonPaddock{}, Lots: []jsonLot{}}
	for i := range s.a.Notices {
		n := &s.a.Notices[i]
		doc.Notices = append(doc.Notices, jsonNotice{
			Kind: Clean(n.Kind), Paddock: jsonText(n.Paddock), Lot: jsonText(n.Lot), Entry: Clean(n.Entry), By: Clean(n.By),
			Because: Clean(n.Because), On: Day(n.On), Through: Day(n.Through), Text: s.notice(n),
		})
	}
	return doc
}

// answers adds paddocks and lots to an envelope.
func (s *speaker) answers(doc *jsonToday, f Filter, ps []subject) {
	for _, p := range ps {
		answers := []Answer{}
		for _, u := range p.uses(f) {
			answers = append(answers, s.answersFor(&p, u, f.allClasses(s.h))...)
		}
		if l := p.lot; l != nil {
			doc.Lots = append(doc.Lots, jsonLot{
				Lot: Clean(l.Lot), Kind: Clean(string(l.Facts.LotKind)), DataThrough: stampsOf(l.Data), Suspect: l.Suspect,
				SiloGasThrough: Day(l.SiloGasThrough), Verdicts: answers,
			})
			continue
		}
		doc.Paddocks = append(doc.Paddocks, jsonPaddock{
			Paddock: Clean(p.id), Name: p.name, HerdsInside: p.herds(), DataThrough: stampsOf(p.data),
			Verdicts: answers, Tasks: s.tasks(p.paddock),
		})
	}
}

func jsonText(s string) *string {
	if s = Clean(s); s == "" {
		return nil
	}
	return &s
}

// csvHeader names the columns of CSV.
var csvHeader = []string{
	"on", "what", "id", "name", "use", "class", "flag", "paper", "through", "needs", "why", "next",
	"feed_from", "max_share_pct", "stock_inside", "move_out", "night_read", "last_walk", "last_lab", "rulebook", "digest",
	"relaxed", "other_seats",
}

// CSV writes one row a paddock, use and class, then one a lot and class, in
// the order of the morning list: all uses and classes unless filtered. A value
// less cautious than the rulebook's stands in every row, as "relaxed". Dates
// are ISO 8601; a hold without a date says "no date". Text from people is made
// harmless to spreadsheets by CSVCell.
func CSV(w io.Writer, a *hazard.Assessment, f Filter) error {
	s := newSpeaker(a, UnitsOf(a.History))
	cw := csv.NewWriter(w)
	if err := cw.Write(csvHeader); err != nil {
		return err
	}
	tail := []string{
		CSVCell(s.book.Name + " " + s.book.Version), CSVCell(s.book.Digest), CSVCell(strings.Join(Relaxed(a), " ")),
		CSVCell(strings.Join(s.exchangeNotices(), " ")),
	}
	for _, p := range append(worstFirst(s.paddocks(f), f.ListUse(), f.ListClasses(s.h)), s.lots(f)...) {
		for _, u := range p.uses(f) {
			for _, c := range f.allClasses(s.h) {
				if err := cw.Write(append(s.csvRow(&p, needed(p.verdict(u, c), p.id)), tail...)); err != nil {
					return err
				}
			}
		}
	}
	cw.Flush()
	return cw.Error()
}

// csvRow is a row of CSV without what is the same in all of them.
func (s *speaker) csvRow(p *subject, v *hazard.Verdict) []string {
	o := s.outcome(v)
	what, share, from, move := "paddock", "", Day(fields.NoDate), "no"
	if o.Terms != nil {
		what, from = "lot", o.From
		if o.MaxShare != nil {
			share = exact(*o.MaxShare)
		}
	}
	if p.move {
		move = "yes"
	}
	through := o.Through.iso()
	if o.Through == Day(hazard.NoEnd) {
		through = "no date"
	}
	why, next := s.why(v)
	return []string{
		s.on.String(), what, CSVCell(p.id), CSVCell(p.name), v.Use.String(), v.Class.String(), v.Flag.String(),
		PaperWord(v.Flag), through,
		v.Need.String(), CSVCell(why), CSVCell(next), from.iso(), share, CSVCell(strings.Join(p.herds(), ", ")), move,
		Day(p.data.Night).iso(), Day(p.data.Walk).iso(), Day(p.data.Lab).iso(),
	}
}
