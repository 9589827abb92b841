package board

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"sort"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

// Schema names the form of the JSON answers; schema/today-1.schema.json
// describes it.
const Schema = "rimegate/today/1"

// jsonHead is what every document begins with.
type jsonHead struct {
	Schema      string       `json:"schema"`
	Farm        string       `json:"farm"`
	On          string       `json:"on"`
	KnownAt     *string      `json:"known_at"`
	Rulebook    jsonRulebook `json:"rulebook"`
	DataThrough jsonData     `json:"data_through"`
	NotAssessed []string     `json:"not_assessed"`
}

type jsonToday struct {
	jsonHead
	Notices  []jsonNotice  `json:"notices"`
	Paddocks []jsonPaddock `json:"paddocks"`
	Lots     []jsonLot     `json:"lots"`
}

type jsonRulebook struct {
	Name    string        `json:"name"`
	Version string        `json:"version"`
	Digest  string        `json:"digest"`
	Relaxed []jsonRelaxed `json:"relaxed"`
}

type jsonRelaxed struct {
	Rule    string  `json:"rule"`
	Default string  `json:"default"`
	Value   string  `json:"value"`
	Because string  `json:"because"`
	By      string  `json:"by"`
	Until   *string `json:"until"`
	Entry   string  `json:"entry"`
	Text    string  `json:"text"`
}

type jsonData struct {
	Night *string `json:"night"`
	Walk  *string `json:"walk"`
	Lab   *string `json:"lab"`
}

type jsonNotice struct {
	Kind    string  `json:"kind"`
	Paddock *string `json:"paddock"`
	Lot     *string `json:"lot"`
	Entry   string  `json:"entry"`
	By      string  `json:"by"`
	Because string  `json:"because"`
	On      *string `json:"on"`
	Through *string `json:"through"`
	Text    string  `json:"text"`
}

type jsonPaddock struct {
	Paddock     string        `json:"paddock"`
	Name        string        `json:"name"`
	HerdsInside []string      `json:"herds_inside"`
	DataThrough jsonData      `json:"data_through"`
	Verdicts    []jsonVerdict `json:"verdicts"`
	Tasks       []jsonTask    `json:"tasks"`
}

type jsonVerdict struct {
	Use        string       `json:"use"`
	Class      string       `json:"class"`
	Flag       string       `json:"flag"`
	Through    *string      `json:"through"`
	Needs      *string      `json:"needs"`
	Hazards    []jsonHazard `json:"hazards"`
	Conditions []string     `json:"conditions,omitempty"`
}

type jsonHazard struct {
	Hazard  string       `json:"hazard"`
	Flag    string       `json:"flag"`
	Through *string      `json:"through"`
	Reasons []jsonReason `json:"reasons"`
	Lifts   []string     `json:"lifts"`
}

type jsonReason struct {
	Rule    string   `json:"rule"`
	Flag    string   `json:"flag"`
	Through *string  `json:"through"`
	Text    string   `json:"text"`
	Entries []string `json:"entries"`
	Sources []string `json:"sources"`
}

type jsonTask struct {
	What string  `json:"what"`
	By   *string `json:"by"`
	Text string  `json:"text"`
}

type jsonLot struct {
	Lot            string           `json:"lot"`
	Kind           string           `json:"kind"`
	DataThrough    jsonData         `json:"data_through"`
	Suspect        bool             `json:"suspect"`
	SiloGasThrough *string          `json:"silo_gas_through"`
	Verdicts       []jsonLotVerdict `json:"verdicts"`
}

type jsonLotVerdict struct {
	Use         string       `json:"use"`
	Class       string       `json:"class"`
	Flag        string       `json:"flag"`
	Through     *string      `json:"through"`
	FeedFrom    *string      `json:"feed_from"`
	MaxSharePct *float64     `json:"max_share_pct"`
	Needs       *string      `json:"needs"`
	Hazards     []jsonHazard `json:"hazards"`
	Conditions  []string     `json:"conditions,omitempty"`
}

// TodayJSON is the day's answers as one JSON document: all paddocks, uses and
// classes, and all lots, unless filtered; paddocks worst first, in the order
// of the morning list.
func TodayJSON(a *hazard.Assessment, f Filter) ([]byte, error) {
	s := newSpeaker(a, UnitsOf(a.History))
	doc := s.envelope()
	for _, p := range s.ordered(f) {
		doc.Paddocks = append(doc.Paddocks, s.jsonPaddock(p, f))
	}
	s.jsonLots(&doc, f)
	return indent(&doc)
}

// WhyJSON is TodayJSON of one paddock or lot. The error of an unknown id is
// one plain sentence.
func WhyJSON(a *hazard.Assessment, id string, f Filter) ([]byte, error) {
	s := newSpeaker(a, UnitsOf(a.History))
	doc := s.envelope()
	for i := range a.Paddocks {
		if s.id(&a.Paddocks[i]) == id {
			doc.Paddocks = append(doc.Paddocks, s.jsonPaddock(&a.Paddocks[i], f))
			return indent(&doc)
		}
	}
	f.Paddock, f.Use = id, nil
	s.jsonLots(&doc, f)
	if len(doc.Lots) == 0 {
		return nil, s.unknownID(id)
	}
	return indent(&doc)
}

// StreamJSON writes one line a paddock in order of id, each a whole document
// of the same schema with that paddock alone; asked of feeding, one line a
// lot. It returns the writer's error.
func StreamJSON(w io.Writer, a *hazard.Assessment, f Filter) error {
	s := newSpeaker(a, UnitsOf(a.History))
	line := func(doc jsonToday) error {
		b, err := compact(&doc)
		if err != nil {
			return err
		}
		_, err = w.Write(b)
		return err
	}
	if !f.wantsPaddocks() {
		for i := range a.Lots {
			doc := s.envelope()
			one := f
			one.Paddock = a.Lots[i].Lot
			if !f.names(one.Paddock) {
				continue
			}
			s.jsonLots(&doc, one)
			if err := line(doc); err != nil {
				return err
			}
		}
		return nil
	}
	ps := make([]*hazard.PaddockAnswer, 0, len(a.Paddocks))
	for i := range a.Paddocks {
		if f.names(s.id(&a.Paddocks[i])) {
			ps = append(ps, &a.Paddocks[i])
		}
	}
	sort.SliceStable(ps, func(i, j int) bool { return s.id(ps[i]) < s.id(ps[j]) })
	for _, p := range ps {
		doc := s.envelope()
		doc.Paddocks = append(doc.Paddocks, s.jsonPaddock(p, f))
		if err := line(doc); err != nil {
			return err
		}
	}
	return nil
}

// indent and compact keep < > & as they are: the output is data, not a page.
func indent(doc any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(doc); err != nil {
		return nil, fmt.Errorf("the answers cannot be written as JSON: %w", err)
	}
	return b.Bytes(), nil
}

func compact(doc any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(doc); err != nil {
		return nil, fmt.Errorf("the answers cannot be written as JSON: %w", err)
	}
	return b.Bytes(), nil
}

func (s *speaker) jsonHead(schema string) jsonHead {
	l := &List{}
	s.header(l)
	doc := jsonHead{
		Schema: schema, Farm: l.Farm, On: s.on.String(), DataThrough: jsonDataOf(s.a.Data),
		NotAssessed: hazard.NotAssessed, Rulebook: jsonRulebook{Relaxed: []jsonRelaxed{}},
	}
	if s.h != nil && !s.h.KnownAt.IsZero() {
		loc := time.UTC
		if s.h.Loc != nil {
			loc = s.h.Loc
		}
		t := s.h.KnownAt.In(loc).Format(time.RFC3339)
		doc.KnownAt = &t
	}
	if b := s.book; b != nil {
		doc.Rulebook.Name, doc.Rulebook.Version, doc.Rulebook.Digest = Clean(b.Name), Clean(b.Version), Clean(b.Digest)
		for i := range b.Relaxed {
			r := &b.Relaxed[i]
			doc.Rulebook.Relaxed = append(doc.Rulebook.Relaxed, jsonRelaxed{
				Rule: Clean(r.Rule), Default: Clean(r.Default), Value: Clean(r.Value), Because: Clean(r.Because),
				By: Clean(r.By), Until: jsonDate(r.Until), Entry: Clean(r.Entry), Text: relaxedLine(r),
			})
		}
	}
	for _, x := range l.Relaxed[len(doc.Rulebook.Relaxed):] { // the narrowed frost watch comes last
		w := s.h.NarrowedWatch()
		doc.Rulebook.Relaxed = append(doc.Rulebook.Relaxed, jsonRelaxed{
			Rule: watchRule, Default: "all year", Value: w.From.String() + " to " + w.To.String(), Text: x,
		})
	}
	return doc
}

func (s *speaker) envelope() jsonToday {
	doc := jsonToday{jsonHead: s.jsonHead(Schema), Notices: []jsonNotice{}, Paddocks: []jsonPaddock{}, Lots: []jsonLot{}}
	for i := range s.a.Notices {
		n := &s.a.Notices[i]
		doc.Notices = append(doc.Notices, jsonNotice{
			Kind: Clean(n.Kind), Paddock: jsonText(n.Paddock), Lot: jsonText(n.Lot), Entry: Clean(n.Entry), By: Clean(n.By),
			Because: Clean(n.Because), On: jsonDate(n.On), Through: jsonDate(n.Through), Text: s.notice(n),
		})
	}
	return doc
}

// ordered are the paddocks asked about in the order of the morning list.
func (s *speaker) ordered(f Filter) []*hazard.PaddockAnswer {
	if !f.wantsPaddocks() {
		return nil
	}
	use, classes := f.listUse(), f.listClasses(s.h)
	var rows []Row
	byID := map[string]*hazard.PaddockAnswer{}
	for i := range s.a.Paddocks {
		p := &s.a.Paddocks[i]
		id := s.id(p)
		if !f.names(id) {
			continue
		}
		byID[id] = p
		r := Row{ID: id, Name: s.name(p), MoveOut: mustMove(s.a, p)}
		if v := worstOf(func(c hazard.Class) *hazard.Verdict { return p.Verdict(use, c) }, classes); v != nil {
			r.Flag, r.Date = v.Flag, v.Through
		}
		rows = append(rows, r)
	}
	sortRows(rows)
	out := make([]*hazard.PaddockAnswer, len(rows))
	for i := range rows {
		out[i] = byID[rows[i].ID]
	}
	return out
}

func (s *speaker) jsonPaddock(p *hazard.PaddockAnswer, f Filter) jsonPaddock {
	out := jsonPaddock{
		Paddock: Clean(s.id(p)), Name: s.name(p), HerdsInside: []string{}, DataThrough: jsonDataOf(p.Data),
		Verdicts: []jsonVerdict{}, Tasks: []jsonTask{},
	}
	for _, in := range standing(s.a, p) {
		out.HerdsInside = append(out.HerdsInside, in.herd)
	}
	for _, u := range f.allUses() {
		for _, c := range f.allClasses() {
			v := needed(p.Verdict(u, c), s.id(p))
			out.Verdicts = append(out.Verdicts, jsonVerdict{
				Use: u.String(), Class: c.String(), Flag: v.Flag.String(), Through: jsonThrough(v.Flag, v.Through),
				Needs: jsonNeed(v.Need), Hazards: s.jsonHazards(v), Conditions: jsonConditions(v),
			})
		}
	}
	for _, t := range s.tasks(p) {
		out.Tasks = append(out.Tasks, jsonTask{What: t.What, By: jsonDate(t.By), Text: t.Text})
	}
	return out
}

func (s *speaker) jsonLots(doc *jsonToday, f Filter) {
	if !f.wantsLots() {
		return
	}
	for i := range s.a.Lots {
		l := &s.a.Lots[i]
		if !f.names(l.Lot) {
			continue
		}
		out := jsonLot{
			Lot: Clean(l.Lot), Kind: Clean(string(l.Facts.LotKind)), DataThrough: jsonDataOf(l.Data), Suspect: l.Suspect,
			SiloGasThrough: jsonDate(l.SiloGasThrough), Verdicts: []jsonLotVerdict{},
		}
		for _, c := range f.allClasses() {
			v := needed(l.Verdict(c), l.Lot)
			jv := jsonLotVerdict{
				Use: hazard.Feed.String(), Class: c.String(), Flag: v.Flag.String(), Through: jsonThrough(v.Flag, v.Through),
				FeedFrom: jsonDate(v.FeedFrom), Needs: jsonNeed(v.Need), Hazards: s.jsonHazards(v), Conditions: jsonConditions(v),
			}
			if share := lotShare(v); share >= 0 {
				jv.MaxSharePct = &share
			}
			out.Verdicts = append(out.Verdicts, jv)
		}
		doc.Lots = append(doc.Lots, out)
	}
}

func (s *speaker) jsonHazards(v *hazard.Verdict) []jsonHazard {
	out := make([]jsonHazard, 0, len(v.Hazards))
	for i := range v.Hazards {
		h := &v.Hazards[i]
		jh := jsonHazard{
			Hazard: h.Hazard.String(), Flag: h.Flag.String(), Through: jsonThrough(h.Flag, h.Through),
			Reasons: []jsonReason{}, Lifts: []string{},
		}
		for j := range h.Reasons {
			r := &h.Reasons[j]
			jr := jsonReason{
				Rule: Clean(r.Rule), Flag: r.Flag.String(), Through: jsonThrough(r.Flag, r.Through),
				Text: s.reason(r, v.Use), Entries: []string{}, Sources: s.sources(r),
			}
			for _, id := range r.Entries {
				jr.Entries = append(jr.Entries, Clean(id))
			}
			if r.SoftBy != nil && !contains(r.Entries, r.SoftBy.Entry) {
				jr.Entries = append(jr.Entries, Clean(r.SoftBy.Entry))
			}
			jh.Reasons = append(jh.Reasons, jr)
			if l := s.lifts(r); l != "" && !contains(jh.Lifts, l) {
				jh.Lifts = append(jh.Lifts, l)
			}
		}
		out = append(out, jh)
	}
	return out
}

// jsonConditions go with every answer but a hold.
func jsonConditions(v *hazard.Verdict) []string {
	if v.Flag == hazard.Hold {
		return nil
	}
	return conditions(v)
}

func jsonThrough(f hazard.Flag, d fields.Date) *string {
	if f != hazard.Hold {
		return nil
	}
	return jsonDate(d)
}

// jsonDate is null for "no date" and for a hold that no day ends.
func jsonDate(d fields.Date) *string {
	if d == fields.NoDate || d == hazard.NoEnd {
		return nil
	}
	t := d.String()
	return &t
}

func jsonText(s string) *string {
	if s = Clean(s); s == "" {
		return nil
	}
	return &s
}

func jsonNeed(n hazard.Need) *string {
	if n == hazard.NeedNothing {
		return nil
	}
	t := n.String()
	return &t
}

func jsonDataOf(d hazard.DataThrough) jsonData {
	return jsonData{jsonDate(d.Night), jsonDate(d.Walk), jsonDate(d.Lab)}
}
