package farm

import (
	"bytes"
	"encoding/xml"
	"io"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/board/paper"
)

func recordText(t *testing.T, r *board.Record, err error) string {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := r.Text(&b); err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// Every morning of a record is the answer that the whole farm's assessment gave that
// morning with what was known then, for paddocks (worst over the farm's classes).
func TestRecordMorningsAreThoseOfTheirTime(t *testing.T) {
	days, told := 0, map[hazard.Flag]int{}
	for seed := range uint64(6) {
		r := rand.New(rand.NewPCG(31, seed))
		f, known, now := farmAt(r)
		v := f.refold(known, Question{})
		for _, p := range v.History.Standing() {
			rec, err := f.record(known, PastOf{ID: p.ID, From: v.Today.Add(-20)})
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range rec.Season.Days {
				at := morning(d.On, v.Loc)
				if at.After(now) {
					continue
				}
				a := f.refold(known, Question{On: d.On, KnownAt: at}).Assess()
				want := hazard.Unknown
				for i := range a.Paddocks {
					if a.Paddocks[i].Paddock.ID != p.ID {
						continue
					}
					for _, c := range board.FarmClasses(v.History) {
						want = max(want, a.Paddocks[i].Verdict(hazard.Graze, c).Flag)
					}
				}
				if len(v.land(p.ID)) > 1 && want == hazard.Unknown {
					continue // its land was another paddock then
				}
				days++
				told[want]++
				if d.Flag != want {
					t.Fatalf("seed %d, %s on %s: the record says %v, the list of that morning %v", seed, p.ID, d.On, d.Flag, want)
				}
			}
		}
	}
	if days < 200 || told[hazard.Hold] == 0 || told[hazard.Caution] == 0 {
		t.Errorf("%d days tried, %v", days, told)
	}
}

// A frost that is logged two days late changes no morning before that, and the record
// says how late it was.
func TestRecordOfAFrostLoggedLate(t *testing.T) {
	f := smallFarm(t)
	low := -4.0
	frost := []fields.Entry{{Body: &fields.Frost{Paddocks: []string{"north-slough"}, Night: date(t, "2026-10-04"), LowC: &low}}}
	if _, err := f.Log(frost, false); err != nil {
		t.Fatal(err)
	}
	f.Clock = func() time.Time { return time.Date(2026, 10, 8, 18, 0, 0, 0, time.UTC) }
	rec, err := f.Record(PastOf{ID: "north-slough"})
	text := recordText(t, rec, err)
	for _, want := range []string{
		"Mon 5 Oct 2026: ASK FIRST.", "Tue 6 Oct 2026: NO through Tue 20 Oct 2026. Froze Sun 4 Oct 2026; not read since",
		"Maren, logged Tue 6 Oct 2026 06:52, 2 days after",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	// The picture has the frost on its night, the answers on their mornings.
	for _, d := range rec.Season.Days {
		if d.Froze != (d.On == date(t, "2026-10-04")) || (d.Flag == hazard.Hold) != (d.On >= date(t, "2026-10-06")) && d.On >= date(t, "2026-10-05") {
			t.Errorf("%s: %+v", d.On, d)
		}
	}
}

// The same entries and mornings make the same record whenever it is printed; a later
// entry makes another one, and the earlier one can still be made.
func TestRecordIsOfAMoment(t *testing.T) {
	f := smallFarm(t)
	of := PastOf{ID: "creek"}
	first, err := f.Record(of)
	was := recordText(t, first, err)
	f.Clock = func() time.Time { return time.Date(2026, 10, 6, 13, 40, 0, 0, time.UTC) }
	again, err := f.Record(of)
	if recordText(t, again, err) != was {
		t.Error("a record printed later in the morning is another one")
	}
	f.Clock = func() time.Time { return time.Date(2026, 10, 9, 13, 40, 0, 0, time.UTC) }
	if _, err := f.Log([]fields.Entry{{On: date(t, "2026-10-05"), Body: &fields.Hail{Paddocks: []string{"creek"}}}}, false); err != nil {
		t.Fatal(err)
	}
	_, err = board.ReadRecord(was + " Printed Tue 6 Oct 2026 06:52 by rimegate x.")
	if err == nil {
		t.Fatal("words behind a record were let pass")
	}
	first.Printed = board.PrintedWords(f.Clock(), view(t, f, Question{}).History, "from source")
	for name, write := range map[string]func(*bytes.Buffer) error{
		"text": func(b *bytes.Buffer) error { return first.Text(b) },
		"page": func(b *bytes.Buffer) error { return paper.RecordHTML(b, first) },
		"pdf":  func(b *bytes.Buffer) error { return paper.RecordPDF(b, first, paper.Letter) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		text, err := paper.Plain(b.Bytes())
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		p, err := board.ReadRecord(text)
		if err != nil || !p.Whole() {
			t.Fatalf("%s: %v, whole %v", name, err, p.Whole())
		}
		then, err := f.Record(PastOf{ID: p.ID, From: p.From, To: p.To, KnownAt: p.Known})
		if err != nil {
			t.Fatal(err)
		}
		then.Printed = p.Printed
		if d := p.Differs(then); d != nil {
			t.Fatalf("%s: the journal as it was known then differs: %q", name, d)
		}
		if ok, err := paper.Shows(b.Bytes(), then); !ok || err != nil {
			t.Errorf("%s: it does not show what it says: %v", name, err)
		}
		if name == "text" {
			continue
		}
		bad := bytes.Replace(b.Bytes(), []byte("Creek"), []byte("Crook"), 1)
		if name == "pdf" {
			bad = append(bytes.Clone(b.Bytes()), "%"...)
		}
		if ok, _ := paper.Shows(bad, then); ok {
			t.Errorf("%s: a changed page was let pass", name)
		}
		now, err := f.Record(PastOf{ID: p.ID, From: p.From, To: p.To})
		if err != nil {
			t.Fatal(err)
		}
		if since := now.Since(then); len(since) != 1 || !strings.Contains(since[0], "Hail") {
			t.Errorf("%s: since then %q", name, since)
		}
	}
}

// Between midnight and the morning the day has no answer and its night is not told.
func TestRecordBeforeTheMorning(t *testing.T) {
	f := smallFarm(t)
	f.Clock = func() time.Time { return time.Date(2026, 10, 7, 7, 0, 0, 0, time.UTC) } // 01:00 on the farm
	rec, err := f.Record(PastOf{ID: "north-slough"})
	text := recordText(t, rec, err)
	if !strings.Contains(text, "through Wed 7 Oct 2026. Everything logged by Tue 6 Oct 2026 10:00.") ||
		strings.Contains(text, "Wed 7 Oct 2026: ") || rec.Season.Days[len(rec.Season.Days)-1].On != date(t, "2026-10-06") {
		t.Errorf("a night or morning that has not come is told:\n%s", text)
	}
}

// The record of a part of a split paddock tells what its land was answered before.
func TestRecordOfReshapedLand(t *testing.T) {
	f := smallFarm(t)
	f.Clock = func() time.Time { return time.Date(2026, 10, 8, 18, 0, 0, 0, time.UTC) }
	if _, err := f.Log([]fields.Entry{{On: date(t, "2026-10-07"), Body: &fields.Split{From: []string{"north-slough"}, Into: []string{"north-a", "north-b"}}}}, false); err != nil {
		t.Fatal(err)
	}
	f.Clock = func() time.Time { return time.Date(2026, 10, 9, 18, 0, 0, 0, time.UTC) }
	rec, err := f.Record(PastOf{ID: "north-a"})
	text := recordText(t, rec, err)
	for _, want := range []string{
		"What was logged of North Slough is told too: the land is the same.", "ASK FIRST (North Slough).", "(north-a).", "Sown: North Slough",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	// The paddock that was split still has its record.
	rec, err = f.Record(PastOf{ID: "north-slough"})
	if text := recordText(t, rec, err); !strings.Contains(text, "Split: Wed 7 Oct 2026, North Slough split into north-a and north-b") {
		t.Errorf("no split in\n%s", text)
	}
}

func TestRecordRefusals(t *testing.T) {
	f := smallFarm(t)
	for _, x := range []struct {
		of   PastOf
		want string
	}{
		{PastOf{ID: "crek"}, `there is no paddock or lot "crek"`},
		{PastOf{ID: "creek", From: date(t, "2026-10-07")}, "after its last day"},
		{PastOf{ID: "creek", From: date(t, "2020-10-07")}, "740 days at most"},
	} {
		if _, err := f.Record(x.of); err == nil || !strings.Contains(err.Error(), x.want) {
			t.Errorf("%+v: %v", x.of, err)
		}
	}
}

// What people wrote means nothing to a page: no tag, no control character, no change of
// direction, wherever it stands.
func TestRecordOfHostileText(t *testing.T) {
	const bad = "</pre></title><script>alert(1)</script>\"'><img src=x onerror=y>&amp;\x1b[31m\u202e\u0000{nb} (\\) <!-- " +
		"END OF THE RECORD RECORD OF "
	f := smallFarm(t)
	v := view(t, f, Question{})
	h := 84.0
	at := time.Date(2026, 10, 5, 13, 0, 0, 0, time.UTC)
	more := []fields.Entry{
		{Body: &fields.PaddockFacts{Paddock: "creek", Name: bad}, On: date(t, "2026-09-01"), Note: bad},
		{Body: &fields.Farm{Name: bad, Contacts: &fields.Contacts{Vet: bad}}, On: date(t, "2026-09-01"), Note: bad},
		{Body: &fields.Walk{Paddock: "creek", ShortestCM: &h, Alive: []string{bad}}, On: date(t, "2026-10-03"), Note: bad},
		{Body: &fields.Incident{Paddock: "creek", Herd: bad, What: bad}, On: date(t, "2026-10-03")},
		{Body: &fields.Vet{Paddock: "creek", Advice: "keep-off", Who: bad, Because: bad}, On: date(t, "2026-10-03")},
		{Body: &fields.Lab{
			Paddock: "creek", SampledOn: date(t, "2026-10-02"), Analyte: "nitrate", Values: fields.Values(4000), Form: "NO3",
			Unit: "ppm", Basis: "dm", Method: "lab", Sample: bad, FileSHA256: bad,
		}},
		{Body: &fields.Read{}, On: date(t, "2026-10-05")},
		{Body: &fields.Strike{Entry: "01K00000000000000000000009", Because: bad}, On: date(t, "2026-10-05")},
	}
	for i := range more {
		more[i].ID, more[i].Recorded, more[i].By = "01K1000000000000000000000"+string(rune('A'+i)), at, bad
	}
	rec, err := f.record(append(v.Entries, more...), PastOf{ID: "creek", From: date(t, "2026-09-20")})
	if err != nil {
		t.Fatal(err)
	}
	rec.Printed = board.PrintedWords(v.Now, v.History, "from source")
	var text, page, pdf bytes.Buffer
	for _, err := range []error{rec.Text(&text), paper.RecordHTML(&page, rec), paper.RecordPDF(&pdf, rec, paper.A4)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for name, b := range map[string]string{"text": text.String(), "page": page.String()} {
		for _, r := range b {
			if r < ' ' && r != '\n' || r == '\u202e' || r == 0x7f {
				t.Fatalf("%s holds %q", name, r)
			}
		}
	}
	tags := regexp.MustCompile(`<[/!]?[a-zA-Z-]+`).FindAllString(page.String(), -1)
	for _, tag := range tags {
		switch strings.Trim(tag, "</!") {
		case "script", "img", "--", "iframe", "link":
			t.Errorf("the page holds %s", tag)
		}
	}
	if n := strings.Count(page.String(), "<title"); n != 2 || strings.Count(page.String(), "</pre>") != 1 {
		t.Errorf("%d titles, one of the page and one of the picture are due", n)
	}
	_, picture, _ := strings.Cut(page.String(), "<svg")
	picture, _, _ = strings.Cut(picture, "</svg>")
	dec := xml.NewDecoder(strings.NewReader("<svg" + picture + "</svg>"))
	for {
		if _, err := dec.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatalf("the picture is no XML: %v", err)
		}
	}
	// Each form still carries the same text, and checks.
	for name, b := range map[string][]byte{"text": text.Bytes(), "page": page.Bytes(), "pdf": pdf.Bytes()} {
		plain, err := paper.Plain(b)
		if err != nil || plain != text.String() {
			t.Fatalf("%s carries another text: %v", name, err)
		}
		p, err := board.ReadRecord(plain)
		if err != nil || !p.Whole() || p.ID != "creek" {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, want := range []string{"STRUCK", `Struck by </pre></title><script>`, "4,000 ppm NO3 on dry matter", "File of the result, SHA-256:"} {
		if !strings.Contains(strings.Join(strings.Fields(text.String()), " "), want) {
			t.Errorf("no %q in\n%s", want, text.String())
		}
	}
}

// A swath has answers of its own; what was relaxed for a while is told though it is over;
// a forgotten entry of another seat is what the printed one does not say.
func TestRecordOfSwathAndRelaxedRule(t *testing.T) {
	f := smallFarm(t)
	v := view(t, f, Question{})
	ten := 10.0
	h := 20.0
	at := func(d, hour int) time.Time { return time.Date(2026, 10, d, hour, 0, 0, 0, time.UTC) }
	more := []fields.Entry{
		{ID: "01K1000000000000000000000A", Recorded: at(1, 20), On: date(t, "2026-10-01"), Body: &fields.Override{
			Rule: "prussic.frost.wait", Value: &fields.RuleValue{Number: &ten}, Because: "county agent", Until: date(t, "2026-10-02"),
		}},
		{ID: "01K1000000000000000000000B", Recorded: at(3, 20), On: date(t, "2026-10-03"), Body: &fields.Cut{
			Paddock: "north-slough", Use: fields.CutSwath, HeightCM: &h,
		}},
	}
	of := PastOf{ID: "north-slough", From: date(t, "2026-09-28")}
	rec, err := f.record(append(v.Entries, more...), of)
	text := recordText(t, rec, err)
	for _, want := range []string{
		"RELAXED: prussic.frost.wait is 10", "MAY IT BE USED TO SWATH-GRAZE?", "because: county agent", "Sun 4 Oct 2026",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	_, swath, _ := strings.Cut(text, "SWATH-GRAZE?")
	if !strings.Contains(swath[:600], "through Sat 3 Oct 2026") {
		t.Errorf("the swath is not told from the day it lay:\n%s", swath[:600])
	}
	rec.Printed = board.PrintedWords(v.Now, v.History, "from source")
	p, err := board.ReadRecord(recordText(t, rec, nil))
	if err != nil {
		t.Fatal(err)
	}
	for name, x := range map[string]struct {
		journal []fields.Entry
		want    string
	}{
		"more": {append(append([]fields.Entry{{
			ID: "01K1000000000000000000000C", Recorded: at(4, 20), On: date(t, "2026-10-04"), By: "Ben",
			Body: &fields.Hail{Paddocks: []string{"north-slough"}},
		}}, v.Entries...), more...), "1 entry stands in the journal and not in the file: Hail"},
		"fewer": {append(v.Entries[:len(v.Entries):len(v.Entries)], more[0]), "In the file and not in the journal: " + more[1].ID},
	} {
		now, err := f.record(x.journal, PastOf{ID: p.ID, From: p.From, To: p.To, KnownAt: p.Known})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(p.Differs(now), " "); !strings.Contains(got, x.want) || !strings.Contains(got, "The first difference: the file says") {
			t.Errorf("%s: %s", name, got)
		}
	}
}
