package farm

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/fields/share"
	"rimegate/hazard/board"
	"rimegate/hazard/board/paper"
	"rimegate/hazard/moves"
)

// pageOf is the morning's page as text, in a language.
func pageOf(t *testing.T, v *View, lang string) string {
	t.Helper()
	tongue, err := board.CatalogFor(lang)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := board.NewPage(v.Assess(), board.Filter{}, tongue).Text(&out, 400); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// History, record and page name the seat that wrote an entry as soon as there are two,
// and a record that was printed before still says what it said.
func TestTheSeatIsNamed(t *testing.T) {
	f := smallFarm(t)
	f.Store().Seat = "shop"
	before := record(t, f, PastOf{ID: "creek"})
	x, err := f.Store().Exchanger("coulee")
	if err != nil {
		t.Fatal(err)
	}
	at := f.Clock().Add(-time.Minute)
	frost := fields.Entry{
		ID: "01K6XQ4T5Q0V3N7R8S9T0V1W2X", Recorded: at, By: "Tobias", Seat: "house",
		Body: &fields.Frost{Paddocks: []string{"creek"}, Night: date(t, "2026-10-06")},
	}
	relaxed := 10.0
	rule := fields.Entry{
		ID: "01K6XQ4T5Q0V3N7R8S9T0V1W2Y", Recorded: at, By: "Ada", Seat: "truck", On: date(t, "2026-10-06"),
		Body: &fields.Override{Rule: "prussic.frost.wait", Value: &fields.RuleValue{Number: &relaxed}, Because: "a test"},
	}
	if got, err := x.Take(arrived(t, frost, rule), nil, journal.Shared{Seq: 2}); err != nil || got.Added != 2 {
		t.Fatal(got, err)
	}
	past, err := f.Past(PastOf{ID: "creek"})
	if err != nil {
		t.Fatal(err)
	}
	if last := past[len(past)-1].Words; !strings.Contains(last, "signed Tobias (house)") {
		t.Errorf("history says %q", last)
	}
	if r := record(t, f, PastOf{ID: "creek"}); !strings.Contains(r, "Tobias (house), logged") {
		t.Errorf("the record:\n%s", r)
	}
	if p := pageOf(t, view(t, f, Question{}), "en"); !strings.Contains(p, "by Ada (truck)") {
		t.Errorf("the page:\n%s", p)
	}
	if again := record(t, f, PastOf{ID: "creek", KnownAt: at.Add(-time.Second)}); again != before {
		t.Errorf("a record of before the second seat changed:\n%s\n%s", before, again)
	}
}

func record(t *testing.T, f *Farm, q PastOf) string {
	t.Helper()
	r, err := f.Record(q)
	return recordText(t, r, err)
}

// Each page says when this seat last had the others' entries, and says it loudly when that
// is longer ago than the farm allows, nobody knows, or something of theirs does not count.
func TestThePageTellsOfTheExchange(t *testing.T) {
	f := smallFarm(t)
	now := f.Clock()
	quiet := pageOf(t, view(t, f, Question{}), "en")
	if strings.Contains(quiet, "seat") {
		t.Errorf("a farm that shares nothing is told of seats:\n%s", quiet)
	}
	x, err := f.Store().Exchanger("coulee")
	if err != nil {
		t.Fatal(err)
	}
	at := journal.Shared{Seq: 7}
	if _, err := x.Take(nil, nil, at); err != nil {
		t.Fatal(err)
	}
	set := func(ago time.Duration, seq uint64) {
		t.Helper()
		s := share.Settings{Server: "tls://share.example.org:4222", Farm: "coulee", Last: now.Add(-ago), Seq: seq}
		if err := s.Save(f.Store()); err != nil {
			t.Fatal(err)
		}
	}
	says := func(what string, langs map[string]string) {
		t.Helper()
		for lang, want := range langs {
			if p := pageOf(t, view(t, f, Question{}), lang); !strings.Contains(p, want) {
				t.Errorf("%s, %s: %q is not on\n%s", what, lang, want, p)
			}
		}
	}
	says("nobody knows when", map[string]string{
		"en": "NOT EXCHANGED: this computer does not have", "es": "SIN INTERCAMBIO: este equipo", "fr": "SANS ÉCHANGE : ce poste",
	})
	set(time.Hour, 7)
	says("an hour ago", map[string]string{
		"en": "Other seats' entries up to 05:52.", "es": "otros equipos hasta 05:52.", "fr": "autres postes jusqu'à 05:52.",
	})
	if p := pageOf(t, view(t, f, Question{}), "en"); strings.Contains(p, "NOT EXCHANGED") {
		t.Errorf("an hour is loud:\n%s", p)
	}
	set(25*time.Hour, 7)
	says("a day ago", map[string]string{"en": "NOT EXCHANGED since Mon 5 Oct 05:52", "es": "SIN INTERCAMBIO desde", "fr": "SANS ÉCHANGE depuis"})
	v := view(t, f, Question{})
	why, err := board.Why(v.Assess(), "creek", board.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	var alone, cards bytes.Buffer
	if err := errors.Join(why.Text(&alone, 400), paper.CardsHTML(&cards, board.NewPage(v.Assess(), board.Filter{}, nil), paper.Look{})); err != nil {
		t.Fatal(err)
	}
	var csv, ahead, moving, rounds, tonight bytes.Buffer
	soon, err := v.Ahead(5, nil, Only{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := v.Moves(5, moves.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	farm := fields.Entry{On: v.Today + 21, Body: &fields.Farm{Name: "Willow Bend", Zone: "America/Regina"}} // folded anew that day
	if x := v.with([]fields.Entry{farm}, Question{On: v.Today + 20}).onDay(v.Today + 21); x.History.Exchange == nil {
		t.Error("a coming day forgets the exchange")
	}
	doc, err := board.TodayJSON(v.Assess(), board.Filter{})
	if err := errors.Join(
		err, board.CSV(&csv, v.Assess(), board.Filter{}), soon.Strip(board.Filter{}).Text(&ahead, 400),
		m.Text(&moving, 400), board.RoundsOn(v.Assess(), v.Rounds(), 30, board.Filter{}).Text(&rounds, 400),
		board.NewTonight(v.Assess(), v.Today+1, nil, board.Filter{}).Text(&tonight, 400),
	); err != nil {
		t.Fatal(err)
	}
	for what, text := range map[string]string{
		"the answer for one paddock": alone.String(), "each gate's card": cards.String(), "JSON": string(doc), "CSV": csv.String(),
		"the coming days": ahead.String(), "the moves": moving.String(), "the rounds": rounds.String(), "tonight": tonight.String(),
	} {
		if !strings.Contains(text, "NOT EXCHANGED since Mon 5 Oct 05:52") {
			t.Errorf("%s does not say it:\n%s", what, text)
		}
	}
	if c := strings.Count(cards.String(), "NOT EXCHANGED"); c != len(v.History.Standing()) {
		t.Errorf("%d cards say it", c)
	}
	days := 3.0
	if _, err := f.Log([]fields.Entry{{On: date(t, "2026-10-06"), Body: &fields.Farm{Name: "Willow Bend", Zone: "America/Regina", ExchangeDays: &days}}}, false); err != nil {
		t.Fatal(err)
	}
	if p := pageOf(t, view(t, f, Question{}), "en"); strings.Contains(p, "NOT EXCHANGED") {
		t.Errorf("a day is loud where three are allowed:\n%s", p)
	}
	set(time.Hour, 8) // an older copy of the journal was brought back
	says("an older journal", map[string]string{"en": "NOT EXCHANGED: this computer does not have"})
	at.Unread, at.Unreads = 3, 2
	if _, err := x.Take(nil, nil, at); err != nil {
		t.Fatal(err)
	}
	says("not read", map[string]string{"en": "NOT READ: entries of other seats that need a newer program (2)", "es": "SIN LEER: datos", "fr": "NON LU : des notes"})
	if p := pageOf(t, view(t, f, Question{KnownAt: now.Add(-time.Hour)}), "en"); strings.Contains(p, "seat") {
		t.Errorf("a past moment is told of the exchange of today:\n%s", p)
	}
}

func arrived(t *testing.T, entries ...fields.Entry) (out []journal.Arrival) {
	t.Helper()
	for i := range entries {
		a, probs := journal.Arrived(&entries[i])
		if len(probs) > 0 {
			t.Fatal(probs)
		}
		out = append(out, a)
	}
	return out
}

// What came with the id of another entry is kept before the position behind it is stored:
// where it cannot be kept, it comes again.
func TestAConflictIsKeptBeforeThePosition(t *testing.T) {
	f := smallFarm(t)
	x, err := f.Store().Exchanger("coulee")
	if err != nil {
		t.Fatal(err)
	}
	ours, err := f.Store().Load()
	if err != nil {
		t.Fatal(err)
	}
	other := ours.Entries[len(ours.Entries)-1]
	other.Note, other.Seat = "another note", "house"
	came := arrived(t, other)
	x.KeepAside = func(*fields.Entry) error { return errors.New("the disk is full") }
	if _, err := x.Take(came, nil, journal.Shared{Seq: 5}); err == nil || !strings.Contains(err.Error(), "the disk is full") {
		t.Fatalf("%v", err)
	}
	if again, err := f.Store().Exchanger("coulee"); err != nil || again.Seq != 0 {
		t.Fatalf("the position is %d, %v", again.Seq, err)
	}
	var kept []string
	x.KeepAside = func(e *fields.Entry) error { kept = append(kept, e.Note); return nil }
	if got, err := x.Take(came, nil, journal.Shared{Seq: 5}); err != nil || len(got.Aside) != 1 || len(kept) != 1 || kept[0] != "another note" {
		t.Fatalf("%+v, %v, %q", got, err, kept)
	}
	if again, err := f.Store().Exchanger("coulee"); err != nil || again.Seq != 5 {
		t.Errorf("the position is %d, %v", again.Seq, err)
	}
}
