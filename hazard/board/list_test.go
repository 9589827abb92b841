package board

import (
	"bytes"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

func listText(t *testing.T, l *List, width int) string {
	t.Helper()
	var b bytes.Buffer
	if err := l.Text(&b, width); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestListGolden(t *testing.T) {
	a := farmAssessment(t)
	a.Notices = []hazard.Notice{{Kind: "struck-incident", Paddock: "creek", Entry: id(12), By: "Ann", Because: "wrong paddock", On: day("2026-09-10"), Through: day("2026-09-24")}}
	a.Book.Relaxed = []hazard.Relaxed{{Rule: "prussic.frost.wait", Default: "14 d", Value: "10 d", Because: "our agronomist says so", By: "Ann", Until: day("2026-10-31")}}
	golden(t, "list-80.txt", listText(t, Today(a, Filter{}), 80))
	golden(t, "list-60.txt", listText(t, Today(a, Filter{}), 60))
	hay, feed, class := hazard.CutHay, hazard.Feed, hazard.Horses
	golden(t, "list-hay-80.txt", listText(t, Today(a, Filter{Use: &hay}), 80))
	golden(t, "list-feed-80.txt", listText(t, Today(a, Filter{Use: &feed}), 80))
	golden(t, "list-horses-80.txt", listText(t, Today(a, Filter{Class: &class, Paddock: "north-slough"}), 80))
}

func TestListOrderAndFirstLines(t *testing.T) {
	a := farmAssessment(t)
	l := Today(a, Filter{})
	if got, want := []string{l.Rows[0].Name, l.Rows[1].Name, l.Rows[2].Name}, []string{"North Slough", "Home Quarter", "Creek Grass"}; strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("rows are %q, want the worst first: %q", got, want)
	}
	if len(l.MoveOut) != 1 || l.MoveOut[0] != "MOVE OUT NOW: pairs in North Slough" {
		t.Errorf("MoveOut is %q", l.MoveOut)
	}
	if l.Worst != hazard.Hold {
		t.Errorf("Worst is %v", l.Worst)
	}
	// Whatever is asked, stock in danger come first.
	sheep := hazard.Sheep
	if l := Today(a, Filter{Class: &sheep, Paddock: "creek"}); len(l.MoveOut) != 1 || l.Worst != hazard.Clear {
		t.Errorf("asked of sheep in Creek Grass: MoveOut %q, worst %v", l.MoveOut, l.Worst)
	}
	// The herd's own classes decide, not the worst of all.
	b := farmAssessment(t)
	for i := range b.Paddocks[2].Verdicts {
		if v := &b.Paddocks[2].Verdicts[i]; v.Class == hazard.BredCattle && v.Use == hazard.Graze {
			*v = verdict(v.Use, v.Class, one(noP), one(nLow))
		}
	}
	if l := Today(b, Filter{}); len(l.MoveOut) != 0 {
		t.Errorf("the pairs may stay, but MoveOut is %q", l.MoveOut)
	}
}

func TestStockOnASwath(t *testing.T) {
	a := farmAssessment(t)
	north := &a.Paddocks[2]
	dry := hazard.Reason{Line: hazard.LineSwathStubble, Rule: "swath.stubble", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-01")}
	for i := range north.Verdicts {
		if v := &north.Verdicts[i]; v.Use == hazard.SwathGraze {
			*v = verdict(v.Use, v.Class, one(dry), one(untried))
		}
	}
	if l := Today(a, Filter{}); len(l.MoveOut) != 1 || !strings.HasPrefix(l.MoveOut[0], "MOVE OUT NOW unless fenced to the swath: pairs") {
		t.Errorf("growth on hold under a usable swath: %q", l.MoveOut)
	}
	for i := range north.Verdicts {
		switch v := &north.Verdicts[i]; v.Use {
		case hazard.SwathGraze:
			*v = verdict(v.Use, v.Class, one(froze), one(untried))
		case hazard.Graze:
			*v = verdict(v.Use, v.Class, one(noP), one(nLow))
		}
	}
	if l := Today(a, Filter{}); len(l.MoveOut) != 1 || l.MoveOut[0] != "MOVE OUT NOW: pairs in North Slough" {
		t.Errorf("the swath on hold: %q", l.MoveOut)
	}
}

// Stock that nobody named is judged by the worst of the farm's classes.
func TestUnnamedStock(t *testing.T) {
	a := farmAssessment(t)
	a.Paddocks[2].Inside = []fields.Stay{{Paddock: "north-slough", In: day("2026-09-01")}}
	if l := Today(a, Filter{}); len(l.MoveOut) != 1 || l.MoveOut[0] != "MOVE OUT NOW: stock in North Slough" {
		t.Errorf("MoveOut is %q", l.MoveOut)
	}
}

func TestDifferNamesTheClasses(t *testing.T) {
	l := Today(farmAssessment(t), Filter{})
	got := strings.Join(l.Rows[1].Differ, "; ")
	if want := "ASK FIRST for cows and bred heifers; YES for cattle not bred"; got != want {
		t.Errorf("Differ is %q, want %q", got, want)
	}
}

// An unanswered question is never a clear one.
func TestEmptyListIsNotClear(t *testing.T) {
	h := farmHistory(t)
	l := Today(&hazard.Assessment{History: h, Book: testBook()}, Filter{})
	if l.Worst == hazard.Clear {
		t.Error("a list without paddocks reads as clear")
	}
	if s := listText(t, l, 80); !strings.Contains(s, "LAST NIGHT NOT READ") {
		t.Errorf("no night is read, but the list does not say so:\n%s", s)
	}
}

func TestUndecidedFlagsPanic(t *testing.T) {
	broken := func() *hazard.Assessment {
		a := farmAssessment(t)
		a.Paddocks[0].Verdicts[0].Flag = hazard.Unknown
		return a
	}
	panics := func(name string, f func()) {
		t.Helper()
		defer func() {
			if recover() == nil {
				t.Errorf("%s printed a flag that was never decided", name)
			}
		}()
		f()
	}
	panics("Today", func() { Today(broken(), Filter{}) })
	panics("Why", func() { Why(broken(), "creek", Filter{}) })
	panics("TodayJSON", func() { TodayJSON(broken(), Filter{}) })
	panics("StreamJSON", func() { stream(&bytes.Buffer{}, broken(), Filter{}) })
	panics("CSV", func() { CSV(&bytes.Buffer{}, broken(), Filter{}) })
	panics("Changes", func() { Changes(farmAssessment(t), broken(), Filter{}) })
	missing := farmAssessment(t)
	missing.Paddocks[0].Verdicts = nil
	panics("a list without a paddock's answer", func() { Today(missing, Filter{}) })
	panics("JSON without a paddock's answer", func() { TodayJSON(missing, Filter{}) })
	panics("FlagWord", func() { FlagWord(hazard.Unknown) })
	panics("PaperWord", func() { PaperWord(hazard.Unknown) })
	panics("PaperWord of a number", func() { PaperWord(hazard.Hold + 1) })
}

// The first column holds NO, ASK FIRST or YES, nothing else stands there, no
// line is wider than asked, and CAUTION never stands alone.
func checkSheet(t *testing.T, text string, width, rows int) {
	t.Helper()
	found := 0
	for _, x := range strings.Split(text, "\n") {
		if w := Width(x); w > width {
			t.Errorf("%d cells, want at most %d: %q", w, width, x)
		}
		for _, p := range []string{"NO ", "ASK FIRST ", "YES "} {
			if strings.HasPrefix(x, p) {
				found++
			}
		}
		if i := strings.Index(x, "CAUTION"); i >= 0 && !strings.HasPrefix(x[i:], "CAUTION, ask first") && !strings.HasSuffix(strings.TrimSpace(x), "CAUTION, ask") && !strings.HasSuffix(strings.TrimSpace(x), "CAUTION,") {
			t.Errorf("CAUTION stands alone: %q", x)
		}
		for _, r := range x {
			if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
				t.Errorf("control character %U in %q", r, x)
			}
		}
	}
	if found != rows {
		t.Errorf("%d rows begin with NO, ASK FIRST or YES, want %d:\n%s", found, rows, text)
	}
}

var hostileNames = []string{
	"[red]North[-] [::b]Slough", "Creek\nYES        All Paddocks: CLEAR", "\x1b[2J\x1b]0;owned\x07North", "\u202ehguolS htroN\u202c", "北の沼地の牧草地牧草地牧草地牧草地牧草地牧草地牧草地牧草地牧草地牧草地",
	"é̂̃̄̆̇̈̉̊̋̌̍̎̏̐̑ zalgo", strings.Repeat("N", 200), strings.Repeat("Long name ", 20), "=HYPERLINK(\"http://x\")", "\u200b\u2060\ufeff", "👩\u200d🌾👩\u200d🌾👩\u200d🌾 field",
	"North\u2028Slough\u0085x\u009b31m", "\xff\xfe bytes",
}

func TestHostileNames(t *testing.T) {
	for _, name := range hostileNames {
		a := farmAssessment(t)
		a.Paddocks[2].Paddock.Name = name
		a.History.Farm.Name = name
		a.History.Farm.Contacts = &fields.Contacts{Manager: name, Vet: name}
		a.Lots[0].Lot = name
		a.Book.Relaxed = []hazard.Relaxed{{Rule: name, Because: name, By: name, Value: name, Default: name}}
		a.Notices = []hazard.Notice{{Kind: "struck-keep-off", Paddock: "creek", By: name, Because: name}}
		soft := froze
		soft.Flag, soft.Through = hazard.Caution, fields.NoDate
		soft.SoftBy = &hazard.Softening{VetWord: hazard.VetWord{Entry: name, Who: name, Because: name, Until: day("2026-09-20")}, Through: froze.Through}
		a.Paddocks[0].Verdicts[0] = verdict(hazard.Graze, hazard.BredCattle, one(soft), one(untried))
		for _, width := range []int{40, 60, 80} {
			checkSheet(t, listText(t, Today(a, Filter{}), width), width, 4)
			var b bytes.Buffer
			for _, id := range []string{"creek", "north-slough", name} {
				e, err := Why(a, id, Filter{})
				if err != nil {
					t.Fatal(err)
				}
				if err := e.Text(&b, width); err != nil {
					t.Fatal(err)
				}
			}
			for _, x := range strings.Split(b.String(), "\n") {
				if w := Width(x); w > width && !strings.HasPrefix(strings.TrimSpace(x), "https://") {
					t.Errorf("why: %d cells, want at most %d: %q", w, width, x)
				}
				if strings.ContainsAny(x, "\x1b\u202e\u009b\u0085\r\t") {
					t.Errorf("why lets a control character through: %q", x)
				}
			}
		}
	}
}

// The list names the paddocks whose last night nobody read, and frightens
// nobody about nights that need no reading.
func TestUnreadLastNight(t *testing.T) {
	a := farmAssessment(t)
	for i := range a.Paddocks {
		a.Paddocks[i].Data.Night = day("2026-09-11")
	}
	if l := Today(a, Filter{}); l.Unread != "" {
		t.Errorf("all are read, but the list says %q", l.Unread)
	}
	a.Paddocks[0].Data.Night = day("2026-09-10")
	if s := listText(t, Today(a, Filter{}), 80); !strings.Contains(s, "LAST NIGHT NOT READ for Creek Grass.\n") {
		t.Errorf("one paddock is not read:\n%s", s)
	}
	for i := range a.Paddocks {
		a.Paddocks[i].Data.Night = fields.NoDate
	}
	if l := Today(a, Filter{}); l.Unread != "for any paddock" {
		t.Errorf("none is read, but the list says %q", l.Unread)
	}
	a.History = farmHistory(t, line(30, "farm", `"name":"Coulee Farm","zone":"America/Regina","frost_watch":{"from":"10-01","to":"06-15"}`))
	if l := Today(a, Filter{}); l.Unread != "" {
		t.Errorf("outside the frost watch the list says %q", l.Unread)
	}
}

// A farm without paddocks or herds is told what to type.
func TestSetUpNext(t *testing.T) {
	bare := func(lines ...string) string {
		t.Helper()
		h := fields.Fold(entries(t, lines...), fields.View{On: day("2026-09-11")})
		a := &hazard.Assessment{History: h, Book: testBook()}
		for _, p := range h.Standing() {
			a.Paddocks = append(a.Paddocks, paddockAnswer(h, p.ID, func(u hazard.Use, c hazard.Class) hazard.Verdict {
				return verdict(u, c, one(noP), one(nLow))
			}))
		}
		return strings.Join(strings.Fields(listText(t, Today(a, Filter{}), 80)), " ")
	}
	farm := farmLines()
	if s := bare(farm[0]); !strings.Contains(s, "No paddock on file yet. Type: rimegate paddock add --name") || strings.Contains(s, "LAST NIGHT") {
		t.Errorf("no paddock yet: %s", s)
	}
	if s := bare(farm[0], farm[1]); !strings.Contains(s, "Type: rimegate herd add --class bred-cattle") {
		t.Errorf("no herd yet: %s", s)
	}
	if s := bare(farm[0], farm[1], farm[5]); strings.Contains(s, "Type:") {
		t.Errorf("all is set up: %s", s)
	}
}
