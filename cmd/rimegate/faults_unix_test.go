//go:build unix

package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/journal"
)

var (
	kills = flag.Int("kills", 8, "commands that are killed")
	harms = flag.Int("harms", 60, "random harms to a journal that is then asked")
)

// realProgram is the program itself, as another process.
func realProgram(t *testing.T, words ...string) *exec.Cmd {
	t.Helper()
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	return exec.Command(self, words...)
}

// idsIn are the ids of the entries that the journal at path holds, which must be whole.
func idsIn(t *testing.T, path string) map[string]bool {
	t.Helper()
	s := journal.New(path)
	if r, err := s.Check(); err != nil || !r.Whole() {
		t.Fatalf("%v, %v", r.Findings, err)
	}
	c, err := s.Load()
	if err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	for i := range c.Entries {
		ids[c.Entries[i].ID] = true
	}
	return ids
}

// writing are the commands that write, each with how many entries it brings.
type writing struct {
	words []string
	n     int
}

func writings(t *testing.T, dir string, round int) []writing {
	t.Helper()
	put := func(name, text string) string {
		path := filepath.Join(dir, fmt.Sprint(round, name))
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	const many = 300
	var sheet, lines strings.Builder
	sheet.WriteString("rimegate log rain,paddocks,on,amount,note\n")
	other := journal.New(filepath.Join(dir, fmt.Sprint(round, ".other")))
	if err := other.Create(); err != nil {
		t.Fatal(err)
	}
	mm := 3.0
	list := make([]fields.Entry, many)
	for i := range list {
		fmt.Fprintf(&sheet, ",creek,1-Sep-2026,12mm,round %d row %d\n", round, i)
		list[i] = fields.Entry{
			Recorded: time.Date(2026, 10, 1, 12, 0, 0, 0, time.UTC), By: "Tobias", On: fields.MakeDate(2026, 9, 30),
			Note: fmt.Sprintf("round %d entry %d", round, i), Body: &fields.Rain{Paddocks: []string{"creek"}, MM: &mm},
		}
	}
	stored, err := other.Append(list)
	if err != nil {
		t.Fatal(err)
	}
	for i := range stored {
		lines.Write(fields.Encode(&stored[i]))
		lines.WriteByte('\n')
	}
	return []writing{
		{[]string{"log", "rain", "--amount", "3mm", "--on", "yesterday", "--note", fmt.Sprint("round ", round), "creek"}, 1},
		{[]string{"journal", "import", put("sheet.csv", sheet.String())}, many},
		{[]string{"journal", "import", put("text.jsonl", lines.String())}, many},
		{[]string{"journal", "merge", other.Path}, many},
		{[]string{"journal", "copy", filepath.Join(dir, fmt.Sprint(round, ".copy"))}, 0},
	}
}

// Commands are killed while they log, import, merge and copy: the journal holds all of what
// a command was to bring, or none of it, and all of it if the command ended well; the next
// command carries on.
func TestKilledCommands(t *testing.T) {
	if testing.Short() {
		t.Skip("starts the program many times")
	}
	path, _ := smallFarm(t)
	dir := t.TempDir()
	src := rand.New(rand.NewPCG(51, 7))
	took := make([]time.Duration, 5) // of each command, when it was let be
	ids := idsIn(t, path)
	var killed, ended, brought int
	for round := range *kills + len(took) {
		which := round % len(took)
		w := writings(t, dir, round)[which]
		c := realProgram(t, w.words...)
		var out bytes.Buffer
		c.Stdout, c.Stderr = &out, &out
		start := time.Now()
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		timer := time.NewTimer(time.Hour)
		if took[which] > 0 {
			timer = time.AfterFunc(time.Duration(src.Int64N(int64(took[which]))), func() { _ = c.Process.Kill() })
		}
		err := c.Wait()
		timer.Stop()
		var exit *exec.ExitError
		switch {
		case err == nil:
			took[which] = max(took[which], time.Since(start))
			ended++
		case errors.As(err, &exit) && exit.ExitCode() < 0:
			killed++
		default:
			t.Fatalf("round %d, %v: %v: %s", round, w.words, err, out.String())
		}
		now := idsIn(t, path)
		for id := range ids {
			if !now[id] {
				t.Fatalf("round %d, %v: %s is lost", round, w.words, id)
			}
		}
		switch more := len(now) - len(ids); {
		case more != 0 && more != w.n, err == nil && more != w.n:
			t.Fatalf("round %d, %v, %v: %d of %d entries came in", round, w.words, err, more, w.n)
		case more > 0:
			brought++
		}
		for _, id := range anID.FindAllString(out.String(), -1) {
			if which == 0 && !now[id] {
				t.Fatalf("round %d: %s was acknowledged and is lost", round, id)
			}
		}
		to := w.words[len(w.words)-1]
		if which == 4 && (err == nil || journal.New(to).Exists()) && len(idsIn(t, to)) != len(ids) {
			t.Fatalf("round %d: the copy is not the journal", round)
		}
		ids = now
		if round%50 == 49 { // a small one is killed at more of its steps
			path, _ = smallFarm(t)
			ids = idsIn(t, path)
		}
	}
	t.Logf("%d commands killed, %d ended before; %d of all brought their entries whole, the others none",
		killed, ended, brought)
	if killed == 0 {
		t.Error("nothing was killed; this test proves nothing")
	}
}

// Whatever is done to the journal's file, a command answers as from the sound one, or
// answers nothing and ends with status 4.
func TestAskedOfAHarmedJournal(t *testing.T) {
	path, sound := smallFarm(t)
	asked := [][]string{{"today", "--full"}, {"why", "creek"}, {"history"}, {"journal", "export"}, {"today", "--json"}}
	ask := func(words []string) (int, string, string) {
		var out, errOut bytes.Buffer
		status := run(append([]string{"rimegate"}, words...), strings.NewReader(""), &out, &errOut)
		return status, out.String(), errOut.String()
	}
	want := map[string]string{}
	for _, words := range asked {
		_, want[words[0]+words[len(words)-1]], _ = ask(words)
	}
	src := rand.New(rand.NewPCG(52, 7))
	const page = 4096
	var answered, refused int
	for i := range *harms {
		data := bytes.Clone(sound)
		at := src.IntN(len(data))
		switch src.IntN(4) {
		case 0:
			data = data[:at]
		case 1:
			clear(data[at/page*page:][:page])
		case 2:
			copy(data[at/page*page:][:page], sound[src.IntN(len(sound)/page)*page:])
		default:
			data[at] ^= 1 << src.IntN(8)
		}
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		words := asked[i%len(asked)]
		switch status, out, said := ask(words); {
		case status == statusDone && out == want[words[0]+words[len(words)-1]]:
			answered++
		case status == statusJournal && out == "" && strings.HasPrefix(said, "rimegate: the journal "+path+" is damaged"):
			refused++
		default:
			t.Errorf("harm %d, %v: status %d, %q, %q", i, words, status, out, said)
		}
	}
	t.Logf("%d harms: %d answered as from the sound journal, %d with status 4 and no answer", *harms, answered, refused)
	if answered == 0 || refused == 0 {
		t.Error("the harms tell nothing")
	}
}

// A clock a year back, or in another zone, loses nothing and is told.
func TestClockBackAndZones(t *testing.T) {
	path, _ := smallFarm(t)
	at := func(status int, now, zone string, words ...string) (string, string) {
		t.Helper()
		c := realProgram(t, words...)
		c.Env = append(os.Environ(), "RIMEGATE_NOW="+now, "TZ="+zone)
		var out, errOut bytes.Buffer
		c.Stdout, c.Stderr = &out, &errOut
		if err := c.Run(); c.ProcessState.ExitCode() != status {
			t.Fatalf("%v: %v: %s", words, err, errOut.String())
		}
		return out.String(), errOut.String()
	}
	before := len(idsIn(t, path))
	const early = "2025-10-06T06:52:00-06:00"                                                  // by a year
	for paddock, status := range map[string]int{"hills": statusDone, "creek": statusRefused} { // creek was not there yet
		_, said := at(status, early, "", "log", "rain", "--amount", "3mm", "--on", "5-Oct-2025", paddock)
		if !strings.Contains(said, "this computer's clock says Mon 6 Oct 2025") {
			t.Errorf("the clock is not told of: %q", said)
		}
	}
	at(statusDone, "2026-10-06T07:00:00-06:00", "", "log", "rain", "--amount", "4mm", "--on", "5-Oct-2026", "creek")
	if n := len(idsIn(t, path)); n != before+2 {
		t.Errorf("%d entries, want %d", n, before+2)
	}
	// One moment, however it is written and wherever the computer stands, is one answer.
	here, _ := at(statusDone, "2026-10-06T08:00:00-06:00", "America/Regina", "today", "--full")
	there, _ := at(statusDone, "2026-10-06T23:00:00+09:00", "Asia/Tokyo", "today", "--full")
	if here != there {
		t.Errorf("another zone, another answer:\n%s\n%s", here, there)
	}
}
