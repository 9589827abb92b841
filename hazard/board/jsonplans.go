package board

import (
	"math"

	"rimegate/fields"
	"rimegate/fields/forage"
	"rimegate/hazard"
	"rimegate/hazard/moves"
)

// Names of the documents of the coming days, the moves and the comparison;
// schema/*.schema.json describe them.
const (
	AheadSchemaName   = "rimegate/ahead/1"
	MovesSchemaName   = "rimegate/moves/1"
	CompareSchemaName = "rimegate/compare/1"
)

// noTurnIn stands in each document about coming days.
const noTurnIn = "A day ahead is never good for turning in: read that morning's list."

type jsonAhead struct {
	jsonHead
	Use      string         `json:"use"`
	Classes  []string       `json:"classes"`
	Days     []string       `json:"days"`
	Assumed  []string       `json:"assumed"`
	Paddocks []jsonStripRow `json:"paddocks"`
	Changes  []jsonChange   `json:"changes"`
	Warning  string         `json:"warning"`
}

type jsonStripRow struct {
	Paddock string     `json:"paddock"`
	Name    string     `json:"name"`
	Classes []string   `json:"classes"`
	Flags   []*string  `json:"flags"`
	Without []*string  `json:"flags_without"`
	Clear   *jsonClear `json:"clear"`
	After   *string    `json:"after"`
}

type jsonClear struct {
	On    *string      `json:"on"`
	Still *string      `json:"still"`
	Needs []jsonWanted `json:"needs"`
	Stuck *string      `json:"stuck"`
	Text  string       `json:"text"`
}

type jsonWanted struct {
	What     string  `json:"what"`
	From     *string `json:"from"`
	By       *string `json:"by"`
	ResultBy *string `json:"result_by"`
}

type jsonChange struct {
	On      string    `json:"on"`
	Paddock *string   `json:"paddock"`
	Lot     *string   `json:"lot"`
	Uses    []string  `json:"uses"`
	Classes []string  `json:"classes"`
	Was     *jsonFlag `json:"was"`
	Now     *jsonFlag `json:"now"`
	Text    string    `json:"text"`
}

type jsonFlag struct {
	Flag    string  `json:"flag"`
	Through *string `json:"through"`
}

// JSON is the strip as a document of rimegate/ahead/1; assumed are the words of
// the entries that were assumed.
func (st *Strip) JSON(assumed []string) ([]byte, error) {
	s := newSpeaker(st.a, UnitsOf(st.a.History))
	doc := jsonAhead{
		jsonHead: s.jsonHead(AheadSchemaName), Use: st.Use.String(), Classes: classWords(st.Classes), Days: jsonDates(st.Days),
		Assumed: cleanAll(assumed), Paddocks: []jsonStripRow{}, Changes: []jsonChange{}, Warning: noTurnIn,
	}
	for i := range st.Rows {
		r := &st.Rows[i]
		row := jsonStripRow{
			Paddock: Clean(r.ID), Name: r.Name, Classes: classWords(r.Classes), Flags: jsonFlags(r.Flags),
			Clear: jsonClearOf(r.First, st.Days[0]), After: jsonText(r.After),
		}
		if r.Was != nil {
			row.Without = jsonFlags(r.Was)
		}
		doc.Paddocks = append(doc.Paddocks, row)
	}
	for i := range st.Dated {
		d := &st.Dated[i]
		c := jsonChange{On: d.On.String(), Classes: classWords(d.Classes), Uses: []string{}, Was: jsonFlagOf(d.Was, d.WasThrough), Now: jsonFlagOf(d.Now, d.NowThrough), Text: d.Change.String()}
		for _, u := range d.Uses {
			c.Uses = append(c.Uses, u.String())
		}
		id := Clean(d.ID)
		if d.Lot {
			c.Lot = &id
		} else {
			c.Paddock = &id
		}
		doc.Changes = append(doc.Changes, c)
	}
	return indent(&doc)
}

func jsonClearOf(c *ClearDay, today fields.Date) *jsonClear {
	if c == nil {
		return nil
	}
	out := &jsonClear{On: jsonDate(c.On), Still: jsonText(c.Still), Needs: []jsonWanted{}, Stuck: jsonText(c.Stuck), Text: c.ClearWords(today)}
	for i := range c.Needs {
		n := &c.Needs[i]
		out.Needs = append(out.Needs, jsonWanted{What: n.What, From: jsonDate(n.From), By: jsonDate(n.By), ResultBy: jsonDate(n.Result)})
	}
	return out
}

func jsonFlags(fs []hazard.Flag) []*string {
	out := make([]*string, len(fs))
	for i, f := range fs {
		if f != hazard.Unknown { // null: the paddock does not stand that day
			t := f.String()
			out[i] = &t
		}
	}
	return out
}

func jsonFlagOf(f hazard.Flag, through fields.Date) *jsonFlag {
	if f == hazard.Unknown {
		return nil
	}
	return &jsonFlag{f.String(), jsonThrough(f, through)}
}

func jsonDates(ds []fields.Date) []string {
	out := make([]string, len(ds))
	for i, d := range ds {
		out[i] = d.String()
	}
	return out
}

func classWords(cs []hazard.Class) []string {
	out := make([]string, len(cs))
	for i, c := range cs {
		out[i] = c.String()
	}
	return out
}

type jsonMoves struct {
	jsonHead
	MoveOut        []string     `json:"move_out"`
	Days           []string     `json:"days"`
	UtilisationPct float64      `json:"utilisation_pct"`
	LeaveCM        *float64     `json:"leave_cm"`
	Herds          []jsonMob    `json:"herds"`
	Paddocks       []jsonGround `json:"paddocks"`
	PlanProved     bool         `json:"plan_proved"`
	Warning        string       `json:"warning"`
}

type jsonMob struct {
	Herds      []string             `json:"herds"`
	Head       *float64             `json:"head"`
	Classes    []string             `json:"classes"`
	In         *string              `json:"in"`
	DMKgDay    *jsonRange           `json:"dm_kg_day"`
	How        []string             `json:"how"`
	Missing    *string              `json:"missing"`
	HeadDays   map[string]jsonRange `json:"head_days"`
	Unmeasured []string             `json:"unmeasured"`
	Today      []jsonPlace          `json:"today"`
	Plan       []jsonStretch        `json:"plan"`
	Gap        *jsonGap             `json:"gap"`
	Opens      []jsonOpens          `json:"opens"`
}

type jsonRange struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

type jsonPlace struct {
	Paddock      string     `json:"paddock"`
	ClearThrough string     `json:"clear_through"`
	FeedDays     *jsonRange `json:"feed_days"`
	StandsThere  *string    `json:"stands_there"`
}

type jsonStretch struct {
	From    string  `json:"from"`
	To      string  `json:"to"`
	Paddock *string `json:"paddock"`
}

type jsonGap struct {
	Days jsonRange `json:"days"`
	DMKg jsonRange `json:"dm_kg"`
}

type jsonOpens struct {
	Paddock  string     `json:"paddock"`
	FeedDays jsonRange  `json:"feed_days"`
	Clear    *jsonClear `json:"clear"`
}

type jsonGround struct {
	Paddock  string   `json:"paddock"`
	Name     string   `json:"name"`
	UsableKg *float64 `json:"usable_dm_kg"`
	Missing  *string  `json:"missing"`
}

// JSON is where the herds can stand as a document of rimegate/moves/1.
func (m *Moves) JSON() ([]byte, error) {
	s := m.S
	doc := jsonMoves{
		jsonHead: m.s.jsonHead(MovesSchemaName), MoveOut: []string{}, Days: jsonDates(s.Days), Herds: []jsonMob{}, Paddocks: []jsonGround{},
		PlanProved: s.Plan.Proved, Warning: "A plan is no turn-in: read each morning's list, and the conditions on it.",
	}
	if doc.UtilisationPct = s.Set.UtilisationPct; doc.UtilisationPct == 0 {
		doc.UtilisationPct = forage.DefaultUtilisation
	}
	if cm := s.Set.LeaveCM; cm > 0 {
		doc.LeaveCM = &cm
	}
	for i := range m.a.Paddocks {
		for _, in := range standing(m.a, &m.a.Paddocks[i]) {
			if in.flag == hazard.Hold {
				doc.MoveOut = append(doc.MoveOut, m.s.moveOut(&in, &m.a.Paddocks[i]))
			}
		}
	}
	doc.MoveOut = append(doc.MoveOut, m.s.stopFeedings("")...)
	for q := range s.Grounds {
		g := &s.Grounds[q]
		out := jsonGround{Paddock: Clean(g.ID), Name: paddockName(m.a.History, g.ID), Missing: jsonText(g.Why)}
		if g.Why == "" {
			kg := math.Round(g.UsableKg)
			out.UsableKg = &kg
		}
		doc.Paddocks = append(doc.Paddocks, out)
	}
	for i := range s.Mobs {
		doc.Herds = append(doc.Herds, m.jsonMob(i))
	}
	return indent(&doc)
}

func (m *Moves) jsonMob(i int) jsonMob {
	s, mob := m.S, &m.S.Mobs[i]
	out := jsonMob{
		Herds: cleanAll(mob.Herds), Classes: classWords(mob.Classes), In: jsonText(mob.In), How: cleanAll(mob.How), Missing: jsonText(mob.Why),
		HeadDays: map[string]jsonRange{}, Unmeasured: []string{}, Today: []jsonPlace{}, Plan: []jsonStretch{}, Opens: []jsonOpens{},
	}
	if mob.Head > 0 {
		out.Head = &mob.Head
	}
	feed := s.FeedOf(i)
	for _, q := range feed.Unknown {
		out.Unmeasured = append(out.Unmeasured, Clean(s.Grounds[q].ID))
	}
	for q := range s.Grounds {
		g, st := &s.Grounds[q], &s.Stands[i][q]
		if st.Flags[0] != hazard.Clear {
			continue
		}
		at := jsonPlace{Paddock: Clean(g.ID), ClearThrough: s.Days[st.ClearFor()-1].String(), StandsThere: jsonText(m.others(i, g))}
		if mob.Known() && g.Why == "" {
			at.FeedDays = &jsonRange{float64(st.Days), float64(max(st.Days, st.AtMost))}
		}
		out.Today = append(out.Today, at)
	}
	if !mob.Known() {
		return out
	}
	out.DMKgDay = &jsonRange{math.Round(mob.PerDay.Low), math.Round(mob.PerDay.High)}
	for _, f := range []hazard.Flag{hazard.Clear, hazard.Caution, hazard.Hold} {
		out.HeadDays[f.String()] = jsonRange{float64(feed.HeadDays[f]), float64(feed.AtMost[f])}
	}
	for _, st := range s.Stretches(&s.Plan, i) {
		x := jsonStretch{From: st.From.String(), To: st.To.String()}
		if st.Ground != moves.Nowhere {
			id := Clean(s.Grounds[st.Ground].ID)
			x.Paddock = &id
		}
		out.Plan = append(out.Plan, x)
	}
	days, kg := s.Gap(&s.Plan, i, mob.PerDay.High)
	least, leastKg := s.Gap(&s.Low, i, mob.PerDay.Low)
	out.Gap = &jsonGap{jsonRange{float64(least), float64(days)}, jsonRange{math.Round(leastKg), math.Round(kg)}}
	for q := range s.Grounds {
		if c := m.opens[[2]int{i, q}]; c != nil && c.On != fields.NoDate {
			st := &s.Stands[i][q]
			out.Opens = append(out.Opens, jsonOpens{Clean(s.Grounds[q].ID), jsonRange{float64(st.Days), float64(max(st.Days, st.AtMost))}, jsonClearOf(c, s.Days[0])})
		}
	}
	return out
}

type jsonCompare struct {
	jsonHead
	Paddock *string         `json:"paddock"`
	Lot     *string         `json:"lot"`
	Name    string          `json:"name"`
	Own     []jsonOwn       `json:"own"`
	Lands   []jsonLand      `json:"lands"`
	Nitrate *jsonNitrateSay `json:"nitrate"`
	Warning string          `json:"warning"`
}

type jsonOwn struct {
	Use     string  `json:"use"`
	Class   string  `json:"class"`
	Flag    string  `json:"flag"`
	Through *string `json:"through"`
}

type jsonLand struct {
	Line   []string  `json:"line"`
	Record string    `json:"record"`
	Says   []jsonSay `json:"says"`
}

type jsonSay struct {
	Question  string     `json:"question"`
	Source    jsonSource `json:"source"`
	Allows    *bool      `json:"allows"`
	First     *string    `json:"first"`
	From      *string    `json:"from"`
	Days      *int       `json:"days"`
	HeightCM  *float64   `json:"height_cm"`
	Strictest bool       `json:"strictest"`
	Laxest    bool       `json:"laxest"`
	Text      string     `json:"text"`
	Words     *string    `json:"words"`
}

type jsonSource struct {
	Publisher string  `json:"publisher"`
	Title     string  `json:"title"`
	Year      *int    `json:"year"`
	URL       *string `json:"url"`
}

type jsonNitrateSay struct {
	Text      string           `json:"text"`
	OnlyTable *string          `json:"only_table"`
	Tables    []jsonTableGroup `json:"tables"`
}

type jsonTableGroup struct {
	Classes []string       `json:"classes"`
	Says    []jsonTableSay `json:"says"`
}

type jsonTableSay struct {
	Table       string     `json:"table"`
	Flag        string     `json:"flag"`
	MaxSharePct float64    `json:"max_share_pct"`
	Value       float64    `json:"value_ppm"`
	Form        string     `json:"form"`
	Edge        bool       `json:"edge"`
	Words       string     `json:"words"`
	Source      jsonSource `json:"source"`
}

// JSON is the comparison as a document of rimegate/compare/1.
func (c *Comparison) JSON() ([]byte, error) {
	doc := jsonCompare{
		jsonHead: c.s.jsonHead(CompareSchemaName), Name: c.Name, Own: []jsonOwn{}, Lands: []jsonLand{},
		Warning: "Publications count a printed range by its longer end here. None of them knows this field; a veterinarian, a laboratory and local advice come first.",
	}
	own := func(v *hazard.Verdict) {
		doc.Own = append(doc.Own, jsonOwn{v.Use.String(), v.Class.String(), v.Flag.String(), jsonThrough(v.Flag, v.Through)})
	}
	id := Clean(c.ID)
	for i := range c.s.a.Paddocks {
		if p := &c.s.a.Paddocks[i]; c.s.id(p) == c.ID {
			doc.Paddock = &id
			for _, u := range hazard.PaddockUses {
				for _, cl := range hazard.Classes {
					own(needed(p.Verdict(u, cl), c.ID))
				}
			}
		}
	}
	for i := range c.s.a.Lots {
		if l := &c.s.a.Lots[i]; l.Lot == c.ID && doc.Paddock == nil {
			doc.Lot = &id
			for _, cl := range hazard.Classes {
				own(needed(l.Verdict(cl), c.ID))
			}
		}
	}
	for i := range c.Lands {
		l := &c.Lands[i]
		land := jsonLand{Line: cleanAll(l.Record.Line), Record: c.record(&l.Record), Says: []jsonSay{}}
		for j := range l.Says {
			land.Says = append(land.Says, c.jsonSay(&l.Record, &l.Says[j]))
		}
		doc.Lands = append(doc.Lands, land)
	}
	if c.Result != "" {
		n := &jsonNitrateSay{Text: c.Result, OnlyTable: jsonText(c.OneTable), Tables: []jsonTableGroup{}}
		for _, g := range c.Tables {
			out := jsonTableGroup{Classes: classWords(g.Classes), Says: []jsonTableSay{}}
			for i := range g.Says {
				x := &g.Says[i]
				out.Says = append(out.Says, jsonTableSay{
					Table: Clean(x.Table), Flag: x.Flag.String(), MaxSharePct: x.MaxShare, Value: x.Value, Form: string(x.Form), Edge: x.Edge,
					Words: clause(x.Words), Source: jsonSourceOf(&x.Source),
				})
			}
			n.Tables = append(n.Tables, out)
		}
		doc.Nitrate = n
	}
	return indent(&doc)
}

func (c *Comparison) jsonSay(r *hazard.Record, x *PublishedSay) jsonSay {
	out := jsonSay{
		Question: x.Question, Source: jsonSourceOf(&x.Source), Strictest: x.Strictest, Laxest: x.Laxest,
		Text: sentence(c.says(r, x)), Words: jsonText(clause(x.Words)),
	}
	if x.NoNumber {
		return out
	}
	out.Allows = &x.Allows
	if x.CM > 0 {
		out.HeightCM = &x.CM
		return out
	}
	out.First, out.From = jsonDate(x.First), jsonDate(x.From)
	if x.From != fields.NoDate {
		out.Days = &x.Days
	}
	return out
}

func jsonSourceOf(s *hazard.Source) jsonSource {
	out := jsonSource{Publisher: Clean(s.Publisher), Title: Clean(s.Title), URL: jsonText(s.URL)}
	if s.Year != 0 {
		out.Year = &s.Year
	}
	return out
}
