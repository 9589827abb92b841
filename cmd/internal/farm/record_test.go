package farm

import (
	"bytes"
	"math/rand/v2"
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
		"Mon 05-Oct-2026: ASK FIRST.", "Tue 06-Oct-2026: NO through and including Tue 20-Oct-2026. Froze Sun 04-Oct-2026; cannot tell since then",
		"Maren, written down Tue 06-Oct-2026 06:52, 2 days after",
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
	p, err := board.ReadRecord(was + " Printed Tue 06-Oct-2026 06:52 by rimegate x.")
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
		if p, err = board.ReadRecord(text); err != nil || !p.Whole() {
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
	if text := recordText(t, rec, err); !strings.Contains(text, "Split: Wed 07-Oct-2026, North Slough split into north-a and north-b") {
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
