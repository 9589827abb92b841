package board

import (
	"cmp"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

// DistrictSchemaName is the form of District.JSON; schema/district-1.schema.json describes it.
const DistrictSchemaName = "rimegate/district/1"

// District is one list over the mornings of many farms: what is in trouble, what must be
// done first, how each farm stands, and the answers of each.
type District struct {
	Schema      string        `doc:"schema"`
	Server      string        `doc:"server"`
	At          time.Time     `doc:"at"`
	Use         hazard.Use    `doc:"use"`
	NotAssessed []string      `doc:"not_assessed"`
	NO          int           `doc:"no"` // paddocks, by their worst answer
	ASK         int           `doc:"ask"`
	YES         int           `doc:"yes"`
	Farms       []FarmMorning `doc:"farms"`
	Notes       []string      `doc:"notes"`
}

// FarmMorning is what is kept of a farm's page: nothing of it refers to the farm's entries.
type FarmMorning struct {
	ID        string        `doc:"farm"`
	Trouble   string        `doc:"trouble,null"` // why nobody may go by its answers: all count as NO
	Exchanged *time.Time    `doc:"exchanged"`    // when the newest entry of any seat came, by the server
	On        fields.Date   `doc:"on"`
	Name      string        `doc:"name"`
	Call      []string      `doc:"call"`
	Loud      []string      `doc:"notices"` // what every list of it says
	NO        int           `doc:"no"`
	ASK       int           `doc:"ask"`
	YES       int           `doc:"yes"`
	Acts      []districtAct `doc:"acts"`
	Paddocks  []districtRow `doc:"paddocks"`
	Lots      []districtRow `doc:"lots"`

	page Page // of which only what the list prints is kept
}

type districtAct struct {
	Word  string `doc:"act"`
	What  string `doc:"what"`
	To    string `doc:"to"`
	Place string `doc:"place"`
	Herd  string `doc:"herd,null"`
}

type districtRow struct {
	ID      string           `doc:"id"`
	Name    string           `doc:"name"`
	Use     hazard.Use       `doc:"use"`
	Flag    hazard.Flag      `doc:"flag"`
	Through Day              `doc:"through"`
	Why     string           `doc:"why"`
	Inside  []string         `doc:"herds_inside"`
	MoveOut bool             `doc:"move_out"`
	Answers []districtAnswer `doc:"answers"`
}

type districtAnswer struct {
	Herds   []string       `doc:"herds"`
	Classes []hazard.Class `doc:"classes"`
	Flag    hazard.Flag    `doc:"flag"`
}

// NewDistrict is a list without a farm yet.
func NewDistrict(server string, at time.Time, f Filter) *District {
	return &District{
		Schema: DistrictSchemaName, Server: Clean(server), At: at, Use: f.ListUse(), NotAssessed: hazard.NotAssessed,
	}
}

// Add takes a farm's page, nil if there is none. With a trouble only what must be done at once
// is kept of it, and all its paddocks count as NO.
func (d *District) Add(id string, p *Page, exchanged time.Time, trouble string) {
	m := FarmMorning{ID: Clean(id), Trouble: Clean(trouble)}
	if !exchanged.IsZero() {
		m.Exchanged = &exchanged
	}
	if p != nil {
		m.take(p)
	}
	d.NO, d.ASK, d.YES = d.NO+m.NO, d.ASK+m.ASK, d.YES+m.YES
	d.Farms = append(d.Farms, m)
}

func (m *FarmMorning) take(p *Page) {
	m.On, m.Name = p.On, strings.Clone(p.Farm)
	m.Call = texts(p.Call, strings.Clone)
	m.Loud = texts(slices.Concat(p.Relaxed, p.Notices, filled(p.Unread)), strings.Clone)
	for _, a := range p.Acts {
		m.Acts = append(m.Acts, districtAct{
			strings.Clone(a.Word), strings.Clone(a.What), strings.Clone(a.To), strings.Clone(a.ID), strings.Clone(a.Herd),
		})
	}
	for _, r := range p.Rows {
		if r.Use != p.Use {
			continue
		}
		switch {
		case m.Trouble != "" || r.Worst == hazard.Hold:
			m.NO++
		case r.Worst == hazard.Caution:
			m.ASK++
		default:
			m.YES++
		}
	}
	if m.Trouble != "" {
		return
	}
	m.page = Page{Use: p.Use, Words: p.Words}
	m.page.Words.Farm = "" // a part of an entry's text
	for _, c := range p.Columns {
		m.page.Columns = append(m.page.Columns, Column{strings.Clone(c.Head), texts(c.Herds, strings.Clone), c.Classes})
	}
	m.page.Rows, m.Paddocks = m.rows(p.Rows)
	m.page.Feed, m.Lots = m.rows(p.Feed)
}

// rows copies rows, as the list prints them and as programs read them.
func (m *FarmMorning) rows(rows []PageRow) (page []PageRow, out []districtRow) {
	for _, r := range rows {
		r.ID, r.Name, r.Why, r.Off = strings.Clone(r.ID), strings.Clone(r.Name), strings.Clone(r.Why), ""
		r.Inside = texts(r.Inside, strings.Clone)
		x := districtRow{
			ID: r.ID, Name: r.Name, Use: r.Use, Flag: r.Worst, Through: r.Through, Why: r.Why, Inside: r.Inside, MoveOut: r.MoveOut,
		}
		for i, f := range r.Flags {
			x.Answers = append(x.Answers, districtAnswer{m.page.Columns[i].Herds, m.page.Columns[i].Classes, f})
		}
		page, out = append(page, r), append(out, x)
	}
	return page, out
}

// InTrouble is how many farms nobody may go by.
func (d *District) InTrouble() (n int) {
	for i := range d.Farms {
		n += asOne(d.Farms[i].Trouble != "")
	}
	return n
}

// sorted puts farms in trouble first, then what must be done, then the worst answers.
func (d *District) sorted() {
	slices.SortStableFunc(d.Farms, func(a, b FarmMorning) int {
		return cmp.Or(asOne(b.Trouble != "")-asOne(a.Trouble != ""), cmp.Compare(len(b.Acts), len(a.Acts)),
			cmp.Compare(b.NO, a.NO), cmp.Compare(b.ASK, a.ASK), fields.CompareNames(a.ID, b.ID))
	})
}

// JSON is the list for programs.
func (d *District) JSON() ([]byte, error) {
	d.sorted()
	return document(*d)
}

// Text writes the list: troubles and what must be done, a line a farm, then the table of each.
func (d *District) Text(w io.Writer, width int) error {
	d.sorted()
	t := newText(w, width)
	when := strings.ToUpper(d.At.Format("Mon 2 Jan 2006 15:04"))
	t.each("", "DISTRICT: "+plural(len(d.Farms), "farm")+", "+when+", good for TODAY only")
	t.each("", d.sums())
	t.each("", d.Notes...)
	var acts []Act
	for i := range d.Farms {
		if m := &d.Farms[i]; m.Trouble != "" {
			acts = append(acts, Act{
				Word: strings.ToUpper(m.ID) + " IS A NO", What: m.Trouble + ".",
				To: "Nothing of it is known to be a YES. Open no gate there." + after(" Whom to call: ", strings.Join(m.Call, "; ")),
			})
		}
	}
	for i := range d.Farms {
		m := &d.Farms[i]
		for _, a := range m.Acts {
			acts = append(acts, Act{
				Word: a.Word, What: strings.ToUpper(m.shown()) + ": " + a.What,
				To: "Its own page says where to, or what instead. Whom to call: " + strings.Join(m.Call, "; "),
			})
		}
	}
	t.acts(acts)
	d.farms(t)
	for i := range d.Farms {
		if m := &d.Farms[i]; m.Trouble == "" {
			t.blank()
			other := provided(m.On != fields.DateOf(d.At, d.At.Location()), m.On.Words())
			t.each("", strings.ToUpper(m.shown())+after(" ", other)+". Call: "+strings.Join(m.Call, "; "))
			t.each("  ", m.Loud...)
			m.page.table(t, m.page.Words.Rows, m.page.Rows)
			m.page.table(t, m.page.Words.Feed, m.page.Feed)
		}
	}
	t.blank()
	t.each("", "Before a gate is opened: that farm's own page, made there today, and whom it says to call.",
		OnHold, Emergency, "Not assessed: "+strings.Join(d.NotAssessed, ", ")+".", Defers)
	return t.flush()
}

// shown is a farm as it is called, with its id where that is another word.
func (m *FarmMorning) shown() string {
	if m.Name == "" || strings.EqualFold(m.Name, m.ID) {
		return m.ID
	}
	return m.Name + " (" + m.ID + ")"
}

// sums is what the farms come to.
func (d *District) sums() string {
	acts := 0
	var oldest *FarmMorning
	for i := range d.Farms {
		m := &d.Farms[i]
		acts += asOne(len(m.Acts) > 0)
		if m.Exchanged != nil && (oldest == nil || m.Exchanged.Before(*oldest.Exchanged)) {
			oldest = m
		}
	}
	out := plural(d.InTrouble(), "farm") + " in trouble, " + strconv.Itoa(acts) +
		" with stock to move or feed to stop. Paddocks: " +
		strconv.Itoa(d.NO) + " NO, " + strconv.Itoa(d.ASK) + " ASK, " + strconv.Itoa(d.YES) + " YES."
	if oldest != nil {
		out += " Longest without news: " + oldest.shown() + ", " + d.moment(oldest) + "."
	}
	return out
}

// moment is when a farm's newest entry came.
func (d *District) moment(m *FarmMorning) string {
	if m.Exchanged == nil {
		return "-"
	}
	at := m.Exchanged.In(d.At.Location())
	if fields.DateOf(at, at.Location()) == fields.DateOf(d.At, d.At.Location()) {
		return at.Format("15:04")
	}
	return at.Format("Mon 2 Jan 15:04")
}

// farms is a line for each farm.
func (d *District) farms(t *text) {
	rows := [][]string{{"FARM", "NO", "ASK", "YES"}}
	for i := range d.Farms {
		m := &d.Farms[i]
		counts := []string{m.ID, strconv.Itoa(m.NO), strconv.Itoa(m.ASK), strconv.Itoa(m.YES)}
		if m.Trouble != "" {
			counts = []string{m.ID, "NO", "", ""}
		}
		rows = append(rows, counts)
	}
	widths := t.widths(mostColumn, rows...)
	t.blank()
	t.grid(widths, rows[0], "last heard, and what first")
	for i := range d.Farms {
		m := &d.Farms[i]
		first := ""
		switch {
		case m.Trouble != "":
			first = "in trouble, see above"
		case len(m.Acts) > 0:
			first = plural(len(m.Acts), "thing") + " to do now, see above"
		}
		t.grid(widths, rows[i+1], strings.Join(filled(d.moment(m), first), ": "))
	}
}
