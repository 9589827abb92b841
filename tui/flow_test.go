package tui

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gdamore/tcell/v2"

	"rimegate/fields"
)

// seat is a person before the running screens: loop, loader and poller are the
// real ones, only the terminal is simulated.
type seat struct {
	t    *testing.T
	a    *app
	scr  tcell.SimulationScreen
	keys int
	end  chan error
	once sync.Once
}

func sitDown(t *testing.T, f Farm, o Options) *seat {
	t.Helper()
	s := &seat{t: t, scr: tcell.NewSimulationScreen("UTF-8"), end: make(chan error, 1)}
	o.screen = s.scr
	if o.Poll == 0 {
		o.Poll = 10 * time.Millisecond
	}
	s.a = newApp(context.Background(), f, o)
	s.scr.SetSize(80, 24)
	go func() { s.end <- s.a.run(o) }()
	t.Cleanup(s.leave)
	return s
}

// leave ends the screens and waits for them.
func (s *seat) leave() {
	s.once.Do(func() {
		s.a.quit()
		select {
		case err := <-s.end:
			s.end <- err
		case <-time.After(20 * time.Second):
			s.t.Error("the screens do not end")
		}
	})
}

// text is the screen as it is now, read in the loop.
func (s *seat) text() string {
	var out string
	done := make(chan struct{})
	go func() {
		s.a.tv.QueueUpdate(func() {
			rows, _ := picture(s.scr)
			out = strings.Join(rows, "\n")
		})
		close(done)
	}()
	select {
	case <-done:
		return out
	case <-s.a.ctx.Done():
		return ""
	}
}

// waits until the screen says all of it.
func (s *seat) waits(want ...string) *seat {
	s.t.Helper()
	var text string
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		text = s.text()
		all := true
		for _, w := range want {
			all = all && strings.Contains(text, w)
		}
		if all {
			return s
		}
	}
	s.t.Fatalf("the screen never says %q:\n%s", want, text)
	return s
}

// press types keys; a typed value counts as one.
func (s *seat) press(script ...string) *seat {
	for _, x := range script {
		es := events(x)
		for _, e := range es {
			s.a.tv.QueueEvent(e)
		}
		if name, _, _ := strings.Cut(x, "*"); len([]rune(x)) > 1 && name == x && named[x] == 0 && x != "Space" {
			es = es[:1]
		}
		s.keys += len(es)
	}
	return s
}

func (s *seat) atMost(keys int) {
	s.t.Helper()
	s.t.Logf("%d keys", s.keys)
	if s.keys > keys {
		s.t.Errorf("it took %d keys; at most %d are bearable", s.keys, keys)
	}
}

// The grazier at 6:52, gloves on: it froze in six paddocks.
func TestGrazierLogsAFrostForSixPaddocks(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW", "MAY THEY GO IN?")
	s.press("a", "End", "Space", "f") // all but the last
	s.waits("6 paddocks: Creek, North Slough, The Bench, Corral", "Home Quarter, Lease Eighty", "noon Tue 6 Oct")
	s.press("-3C").waits("= -3 °C (26.6 °F)")
	s.press("Enter").waits("UNDERSTOOD, NOT STORED YET", "WHAT IT CHANGES", "was ", "now ")
	if farm.logged != 0 {
		t.Fatal("looking at what would change stored something")
	}
	s.press("Enter").waits("Stored: 1 entry (frost).", "TODAY")
	s.atMost(7)
	es := farm.all()
	b, ok := es[len(es)-1].Body.(*fields.Frost)
	if !ok || len(b.Paddocks) != 6 || *b.LowC != -3 || b.Night != farm.today() {
		t.Errorf("stored %+v", es[len(es)-1].Body)
	}
}

// The other morning: no frost. What the word rests on is asked, the weakest first;
// its number is enough.
func TestGrazierSignsThatNothingFroze(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW")
	s.press("0").waits("It rests on", "[-]  1 looked at dawn   2 another thermometer", "3 thermometer in the paddock at plant height")
	s.press("1").waits("No frost: night ending Tue 6 Oct", "CHECK AND SAVE")
	if farm.logged != 0 {
		t.Fatal("a number stored something")
	}
	s.press("Enter").waits("Stored: 1 entry (no frost).")
	s.atMost(3)
	s.waits("TODAY").press("Space*7", "0").waits("ALL 7 paddocks")
	s.press("2").waits("CHECK AND SAVE", "thermometer elsewhere, Creek, North Slough").press("Enter").waits("Stored: 1 entry (no frost).")
	es := farm.all()
	if b := es[len(es)-2].Body.(*fields.NoFrost); len(b.Paddocks) != 1 || b.From != farm.today() || b.Basis != "looked-at-dawn" {
		t.Errorf("stored %+v", b)
	}
	if b := es[len(es)-1].Body.(*fields.NoFrost); len(b.Paddocks) != 7 || b.Basis != "other-thermometer" {
		t.Errorf("stored %+v", b)
	}
}

// The yard thermometer: its form opens on the low.
func TestGrazierReadsTheYardThermometer(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW")
	s.press("r").waits("[Yard thermometer]", "> Low").press("-3C").waits("= -3 °C (26.6 °F)")
	s.press("Enter").waits("CHECK AND SAVE").press("Enter").waits("Stored: 1 entry (thermometer reading).")
	s.atMost(4)
	if b := last(farm).Body.(*fields.Reading); b.Station != "yard" || b.Paddock != "" || b.Night != farm.today() || *b.LowC != -3 {
		t.Errorf("stored %+v", b)
	}
}

// A herd goes into the selected paddock; of one with stock in it the form asks first
// which way they went.
func TestManagerMovesAHerd(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW").press("Down*4")
	s.keys = 0
	s.press("s").waits("Home Quarter", "[in]  out", "> Herd").press("p").waits("[pairs]")
	s.press("Enter").waits("CHECK AND SAVE", "pairs into Home Quarter").press("Enter").waits("Stored: 1 entry (stock moved).")
	s.atMost(4)
	if b := last(farm).Body.(*fields.Grazed); b.Paddock != "home" || b.Herd != "pairs" || b.State != "in" {
		t.Errorf("stored %+v", b)
	}
	s.press("End")
	s.keys = 0
	s.press("s").waits("East Hills", "> What happened      [-]  in   out").press("o").waits("[out]")
	s.press("Enter").waits("CHECK AND SAVE", "out of East Hills").press("Enter").waits("Stored: 1 entry (stock moved).")
	s.atMost(4)
	if b := last(farm).Body.(*fields.Grazed); b.Paddock != "hills" || b.State != "out" {
		t.Errorf("stored %+v", b)
	}
}

// A typo is told at its field, in words, and costs nothing that was typed.
func TestGrazierMakesATypo(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW")
	s.press("f", "-3", "Tab*2", "white on the roof", "Enter").waits(`! "-3" has no unit`, "> Low", "white on the roof")
	s.press("C", "Enter").waits("-3 °C (26.6 °F), seen: white on the roof")
	s.press("Esc").waits("LOG: frost", "-3C", "white on the roof")
	// A frost of 30 °C is refused by the farm, not by the form: same place, same care.
	s.press("Ctrl-U", "30C", "Enter").waits("is not a frost", "> Low", "30C", "white on the roof")
	s.press("Esc").waits("TODAY")
	s.press("q").waits("A form is not saved")
	s.press("f").waits("30C", "white on the roof", "What you typed before is still here")
	if farm.logged != 0 {
		t.Error("something was stored")
	}
}

// An entry was wrong: it is struck from the history, with a reason.
func TestGrazierStrikesAnEntry(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("> ", "Creek")
	s.press("h").waits("HISTORY: Creek", "Stock moved")
	s.press("x").waits("Strikes: Stock moved", "Because")
	s.press("Enter").waits("! Is missing")
	s.press("wrong paddock", "Enter").waits("Strike:", "no longer counts", "because: wrong paddock")
	s.press("Enter").waits("Stored: 1 entry (strike)", "STRUCK")
	s.press("Esc").waits("TODAY")
	for end := time.Now().Add(20 * time.Second); strings.Contains(s.text(), "MOVE OUT NOW") && time.Now().Before(end); {
		time.Sleep(5 * time.Millisecond)
	}
	if strings.Contains(s.text(), "MOVE OUT NOW") {
		t.Error("the stock that never was there must still move out")
	}
}

// The manager at 10:00, ewes bunched at a gate.
func TestManagerFindsWhereTheEwesMayStand(t *testing.T) {
	s := sitDown(t, willowBend(t), Options{}).waits("MOVE OUT NOW")
	s.press("c").waits("for ewes (c)")
	s.press("End").waits("> East Hills", "+ YES", "YES = in at midday, never hungry")
	s.press("Enter").waits("WHY: East Hills", "graze, for ewes", "Grows: Alfalfa and Smooth brome")
	s.atMost(5)
	s.press("Esc", "Home", "Enter").waits("WHY: Creek", "to lift it: Walk it and measure the shortest green growth.")
	s.press("Esc", "4").waits("COMING DAYS", "for ewes (c)", "no change in 21 days")
	s.atMost(10)
}

// The hired hand looks for one name and for whom to call.
func TestHiredHandReadsOneGate(t *testing.T) {
	s := sitDown(t, willowBend(t), Options{}).waits("MOVE OUT NOW")
	s.press("/", "lease", "Enter").waits("> Lease Eighty", "? ASK", "Lease Eighty (lease): ASK for all", "ASK = call first: Maren 555-0101")
	s.waits("Creek") // stock that must come out stays in sight
	s.atMost(7)
	s.press("?", "End").waits("If an animal goes down", "vet: Dr Lund 555-0100")
}

// The walk that lifts a hold asks for what matters; damage wants its night.
func TestManagerLogsAWalk(t *testing.T) {
	farm := willowBend(t)
	farm.set(nil, "")
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW").press("Down")
	s.keys = 0
	s.press("w").waits("LOG: walk", "North Slough", "> Killed?")
	s.press("a", "Tab", "y", "Tab", "none", "Tab", "y", "Enter").waits("Walk: North Slough", "killed: all", "dry", "no new shoots, weeds", "now through Sat 17 Oct")
	s.press("Enter").waits("Stored: 1 entry (walk).")
	s.atMost(10)
	es := farm.all()
	w := es[len(es)-1].Body.(*fields.Walk)
	if w.Killed != "all" || w.ShootsCM == nil || *w.ShootsCM != 0 || w.Dry == nil || !*w.Dry || w.WeedsChecked == nil || !*w.WeedsChecked {
		t.Errorf("stored %+v", w)
	}
	if w.FrostDamage != "" || w.Wilted != nil || w.Alive != nil || w.ShortestCM != nil {
		t.Errorf("what nobody said was stored: %+v", w)
	}
}

// A laboratory's number cannot be logged without its form, unit and basis.
func TestManagerLogsALaboratoryResult(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW")
	s.press("Down", "b", "yesterday", "Tab", "n", "Tab", "3000", "Enter").waits("Is missing", "Nothing was stored")
	s.waits("3000")
	s.press("Home").waits("LOG: lab result")
	// The cursor stands on the first field that is missing.
	s.press("N", "Tab", "p", "Tab", "d", "Tab*2", "l", "Enter").waits("3,000 ppm NO3", "NO3-N (3,000 ppm NO3)", ", lab. Without")
	s.press("Enter").waits("Stored: 1 entry (lab result).")
	es := farm.all()
	if b := es[len(es)-1].Body.(*fields.Lab); b.Paddock != "north-slough" || b.Form != "NO3" || b.Unit != "ppm" || b.Basis != "dm" || b.Values[0].N != 3000 {
		t.Errorf("stored %+v", b)
	}
}

// Another seat logs a frost: it shows without a key, and the cursor stays on
// the paddock it was on, wherever that went.
func TestAnotherSeatsEntryShows(t *testing.T) {
	farm := willowBend(t)
	a, b := sitDown(t, farm, Options{}), sitDown(t, farm, Options{})
	a.waits("East Hills   + YES").press("End").waits("> East Hills   + YES")
	b.waits("East Hills   + YES")
	b.press("l", "Down*5", "Enter").waits("LOG: animal sick or dead")
	b.press("Esc").waits("TODAY")
	b.press("End", "l", "Enter").waits("LOG: animal sick or dead", "East Hills")
	b.press("Tab*3", "2", "Enter").waits("Incident: East Hills", "CHECK AND SAVE")
	b.press("Enter").waits("Stored")
	a.waits("EWES out of EAST HILLS", "> East Hills   # NO")
}

// A journal that is busy or damaged is said in words; the last list stays.
func TestABusyJournalIsSaidInWords(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW")
	farm.set(errBusy, "")
	s.waits("OLD LIST", "in use by another program", "Creek        # NO")
	s.press("f", "-3C", "Enter").waits("LOG: frost", "-3C", "! The journal is in use")
	farm.set(nil, "")
	s.press("Enter").waits("UNDERSTOOD")
	farm.set(errBusy, "")
	s.press("Enter").waits("LOG: frost", "-3C", "! The journal is in use")
	farm.set(nil, "")
	s.press("Enter").waits("UNDERSTOOD").press("Enter").waits("Stored: 1 entry (frost).")
	if farm.logged != 1 {
		t.Errorf("%d entries were stored", farm.logged)
	}
}

// A farm that cannot be read at all says so, and names the safe way.
func TestNoListMeansHold(t *testing.T) {
	farm := willowBend(t)
	farm.set(errBusy, "")
	s := sitDown(t, farm, Options{}).waits("treat every paddock as HOLD", "in use by another program")
	farm.set(nil, "")
	s.press("Ctrl-R").waits("MOVE OUT NOW")
}

// A bug in reading is told; list and half-typed form stay.
func TestABugInReadingLosesNothing(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{}).waits("MOVE OUT NOW")
	s.press("f", "-3C").waits("-3 °C")
	s.a.panicky = func(key string) {
		if key == "Z" {
			panic("a bug behind a key")
		}
	}
	s.press("Z").waits("That key failed", "A bug behind a key", "-3C")
	s.press("Esc", "h").waits("HISTORY")
	farm.set(nil, "a bug in reading")
	s.press("Ctrl-R")
	select {
	case err := <-s.end:
		// The poller's own panic ends the screens in order, with what was typed.
		crash, ok := err.(*CrashError)
		if !ok || len(crash.Typed) != 1 || !strings.Contains(crash.Typed[0], "-3C") {
			t.Errorf("ended with %v", err)
		}
		s.end <- err
	case <-time.After(20 * time.Second):
		t.Error("the screens went on")
	}
}

// Reading hangs: keys still work.
func TestNothingWaitsForTheDisk(t *testing.T) {
	farm := willowBend(t)
	s := sitDown(t, farm, Options{Poll: time.Hour}).waits("MOVE OUT NOW")
	farm.mu.Lock() // a disk that does not answer
	s.press("Ctrl-R", "?").waits("HELP")
	s.press("Esc", "Down").waits("TODAY", "> North Slough # NO")
	farm.mu.Unlock()
}

// Leaving while a job hangs on the loop's own queue does not hang.
func TestLeavingEndsEverything(t *testing.T) {
	for range 20 {
		s := sitDown(t, willowBend(t), Options{Poll: time.Millisecond})
		s.press("q")
		s.leave()
	}
}

// With the mouse on, a click selects a row and the wheel moves; off, the terminal
// keeps it.
func TestTheMouseSelects(t *testing.T) {
	s := sitDown(t, willowBend(t), Options{Poll: time.Hour}).waits("> Creek        # NO")
	s.press("m").waits("Mouse on")
	at := strings.Split(s.text(), "\n")
	y := 0
	for i, row := range at {
		if strings.Contains(row, "The Bench") {
			y = i
		}
	}
	for _, b := range []tcell.ButtonMask{tcell.Button1, tcell.ButtonNone} {
		s.a.tv.QueueEvent(tcell.NewEventMouse(20, y, b, tcell.ModNone))
	}
	s.waits("> The Bench    # NO")
	s.a.tv.QueueEvent(tcell.NewEventMouse(20, y, tcell.WheelDown, tcell.ModNone))
	s.waits("> Corral Strip # NO")
	s.press("m").waits("Mouse off")
}
