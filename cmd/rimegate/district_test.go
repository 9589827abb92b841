//go:build !noshare

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/nats-io/nats-server/v2/server"

	"rimegate/cmd/internal/farm"
	"rimegate/hazard/board"
)

// districtDoc is what the tests read of the list as JSON.
type districtDoc struct {
	NO, ASK, YES int
	Farms        []districtFarm
}

type districtFarm struct {
	Farm, Trouble string
	NO, ASK, YES  int
	Acts          []struct{ Act, What string }
	Paddocks      []struct {
		ID, Name, Flag, Why string
		Answers             []struct{ Flag string }
	}
}

func (h *hosted) district(args ...string) (status int, out, errOut string) {
	h.t.Helper()
	args = append([]string{"district", "--server", h.url(), "--creds", h.path("farms")}, args...)
	return invoke(h.t, append(args, "today")...)
}

func (h *hosted) districtJSON() (status int, d districtDoc) {
	h.t.Helper()
	status, out, errOut := h.district("--json")
	if err := json.Unmarshal([]byte(out), &d); err != nil {
		h.t.Fatal(err, out, errOut)
	}
	return status, d
}

// farmLines are the lines of the scripts' farm.
func farmLines(t *testing.T) []string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(repo, "testdata", "script", "farm.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSpace(string(text)), "\n")
}

// Each farm's answers in the list are those of its own page, made at its own seat: the same
// words in the same tables.
func TestDistrictSaysWhatEachPageSays(t *testing.T) {
	smallFarm(t)
	h := hostFarms(t, "coulee", "bench", "hill")
	lines := farmLines(t)
	h.seat("coulee", "coulee", lines...)
	h.seat("bench", "bench", lines[:len(lines)/2]...)
	if status, _, errOut := invoke(t, "demo", "--dir", h.path("demo")); status != statusDone {
		t.Fatal(errOut)
	}
	_, demo, _ := invoke(t, "--journal", h.path("demo/demo.journal"), "journal", "export")
	h.seat("hill", "hill", strings.TrimSpace(demo))
	status, text, errOut := h.district()
	if status != statusDone {
		t.Fatalf("status %d, %s\n%s", status, errOut, text)
	}
	jsonStatus, d := h.districtJSON()
	if jsonStatus != statusDone || len(d.Farms) != 3 {
		t.Fatal(jsonStatus, d)
	}
	no, ask, yes := 0, 0, 0
	for _, f := range d.Farms {
		_, page, _ := invoke(t, "--journal", h.path(f.Farm+".journal"), "today")
		_, table, _ := strings.Cut(page, "\n  MAY THEY ")
		if table, _, _ = strings.Cut(table, "\n\n"); !strings.Contains(text, table) || len(table) < 100 {
			t.Errorf("the table of %s is not in the list:\n%s\n%s", f.Farm, table, text)
		}
		v, err := openedFarm(t, h.path(f.Farm+".journal")).Lately()
		if err != nil {
			t.Fatal(err)
		}
		own := board.NewPage(v.Assess(), board.Filter{}, nil)
		f.says(t, own)
		no, ask, yes = no+f.NO, ask+f.ASK, yes+f.YES
	}
	if d.NO != no || d.ASK != ask || d.YES != yes || no == 0 || ask+yes == 0 {
		t.Errorf("%d %d %d paddocks, of the farms %d %d %d", d.NO, d.ASK, d.YES, no, ask, yes)
	}
}

// says compares a farm of the list with its own page.
func (f *districtFarm) says(t *testing.T, own *board.Page) {
	t.Helper()
	var want, got []string
	for _, r := range own.Rows {
		want = append(want, fmt.Sprint(r.ID, r.Worst, r.Why, r.Flags))
	}
	for _, r := range f.Paddocks {
		var flags []string
		for _, a := range r.Answers {
			flags = append(flags, a.Flag)
		}
		got = append(got, fmt.Sprint(r.ID, r.Flag, r.Why, flags))
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s (-its own page +the list):\n%s", f.Farm, d)
	}
	var acts, said []string
	for _, a := range own.Acts {
		acts = append(acts, a.Word+a.What)
	}
	for _, a := range f.Acts {
		said = append(said, a.Act+a.What)
	}
	if !slices.Equal(acts, said) {
		t.Errorf("%s: to do %q, its page says %q", f.Farm, said, acts)
	}
}

func openedFarm(t *testing.T, path string) *farm.Farm {
	t.Helper()
	now, err := time.Parse(time.RFC3339, os.Getenv("RIMEGATE_NOW"))
	if err != nil {
		t.Fatal(err)
	}
	f := farm.Open(path)
	f.Clock = func() time.Time { return now }
	return f
}

// By a clock that is days ahead of the server's, waits that still run would seem to be over.
func TestDistrictByAClockAhead(t *testing.T) {
	smallFarm(t)
	h := hostFarms(t, "coulee")
	h.seat("coulee", "coulee", farmLines(t)...)
	ahead := time.Now().Add(72 * time.Hour).Format(time.RFC3339)
	t.Setenv("RIMEGATE_NOW", ahead)
	status, d := h.districtJSON()
	if status != statusFailed || len(d.Farms) != 1 {
		t.Fatalf("status %d, %d farms", status, len(d.Farms))
	}
	d.Farms[0].inTrouble(t, "nobody knows what today is", true)
}

// A farm that nobody may go by is named first, with why, counts as NO and makes the command
// fail; the others are answered for all the same. Nothing is written anywhere.
func TestDistrictNamesTroubleFirst(t *testing.T) {
	smallFarm(t)
	farms := []string{"coulee", "bad", "badhash", "conflict", "gap", "late", "empty", "none", "wrong", "open", "newer"}
	h := hostFarms(t, farms...)
	lines := farmLines(t)
	for _, id := range farms[:len(farms)-5] {
		h.seat(id, id, lines...)
	}
	h.seat("newer", "newer", lines...)
	const id = "01K6XQ4T5Q0V3N7R8S9T0V1W2X"
	rain := func(id, more string) string {
		return `{"id":"` + id + `","kind":"rain","recorded":"2026-10-06T06:40:00-06:00","by":"sam",` +
			`"paddocks":["creek"],"mm":3` + more + `,"on":"2026-10-05"}`
	}
	h.publish("bad", "shop", rain(id, `,"paddocks":["creek"]`), "")
	h.publish("badhash", "shop", rain(id, ""), strings.Repeat("0", 64))
	h.publish("newer", "shop", rain(id, `,"stars":5`), "")
	h.seat("conflict", "first", append(slices.Clone(lines), rain(id, ""))...)
	h.publish("conflict", "house", rain(id, `,"note":"another"`), "")
	h.publish("gap", "house", `{"gap":{"what":"made of a damaged file","ids":["`+id+`"]}}`, "")
	h.publish("late", "house", `{"id":"`+id+`","kind":"farm","recorded":"2026-10-06T06:40:00-06:00","by":"sam",`+
		`"name":"Tallgrass Place","zone":"America/Regina","exchange_days":0,"on":"2026-10-05"}`, "")
	h.write("farms/wrong.creds", strings.Repeat("x", 9))
	h.key("farms/none.creds")
	if err := os.Chmod(h.path("farms/open.creds"), 0o644); err != nil {
		t.Fatal(err)
	}
	h.write("farms/Coulee Farm.creds", "x")
	before := h.messages()
	status, d := h.districtJSON()
	if status != statusFailed {
		t.Errorf("status %d", status)
	}
	want := map[string]string{
		"bad": "cannot be read by this program", "newer": "cannot be read by this program",
		"conflict": "came with two contents", "gap": "entries are missing",
		"late": "nothing came from it since", "empty": "has no stream of the farm empty",
		"none": "refused the credentials", "wrong": "holds no credentials",
		"open": "can be read by others", "Coulee Farm": "no id of a farm",
	}
	for i, f := range d.Farms {
		f.inTrouble(t, want[f.Farm], i < len(want))
	}
	if len(d.Farms) != len(want)+2 {
		t.Errorf("%d farms", len(d.Farms))
	}
	status, text, errOut := h.district()
	if status != statusFailed || !strings.Contains(errOut, "10 of 12 farms in trouble: each counts as NO") {
		t.Errorf("status %d, %s", status, errOut)
	}
	first, _, _ := strings.Cut(text, "MOVE OUT NOW")
	for id := range want {
		if !strings.Contains(first, strings.ToUpper(id)+" IS A NO: ") {
			t.Errorf("%s is not named before all else:\n%s", id, text)
		}
	}
	if bad := fitForTerminal(text); bad != "" {
		t.Error(bad)
	}
	if after := h.messages(); after != before {
		t.Errorf("the streams held %s, and now %s", before, after)
	}
}

// inTrouble sees that a farm is named with its trouble and not answered for, or the other way.
func (f *districtFarm) inTrouble(t *testing.T, want string, first bool) {
	t.Helper()
	switch {
	case !first:
		if want != "" || f.Trouble != "" || len(f.Paddocks) == 0 {
			t.Errorf("%s: %+v", f.Farm, f)
		}
	case want == "" || !strings.Contains(f.Trouble, want):
		t.Errorf("%s: %q, want %q", f.Farm, f.Trouble, want)
	case len(f.Paddocks) > 0 || f.ASK+f.YES > 0:
		t.Errorf("%s is answered for: %+v", f.Farm, f)
	}
}

// messages is how many messages the streams of each account hold.
func (h *hosted) messages() string {
	h.t.Helper()
	all, err := h.srv.Jsz(&server.JSzOptions{Accounts: true, Streams: true})
	if err != nil {
		h.t.Fatal(err)
	}
	var out []string
	for _, a := range all.AccountDetails {
		for _, s := range a.Streams {
			out = append(out, fmt.Sprint(a.Name, " ", s.Name, " ", s.State.Msgs))
		}
	}
	slices.Sort(out)
	return strings.Join(out, "; ")
}

// With no server each farm is a NO, and not each waits as long as the first.
func TestDistrictWithoutServer(t *testing.T) {
	smallFarm(t)
	h := hostFarms(t, "a", "b", "c", "d", "e")
	url := h.url()
	h.srv.Shutdown()
	h.srv.WaitForShutdown()
	status, text, errOut := invoke(t, "district", "--server", url, "--creds", h.path("farms"), "today")
	if status != statusFailed || strings.Count(text, " IS A NO: no server answers") != 3 ||
		strings.Count(text, "was not asked") != 2 ||
		!strings.Contains(errOut, "5 of 5 farms") {
		t.Errorf("status %d, %s\n%s", status, errOut, text)
	}
}

// What is typed wrong ends with 2, and nothing is asked.
func TestDistrictWords(t *testing.T) {
	smallFarm(t)
	empty := t.TempDir()
	for _, c := range []struct{ line, want string }{
		{"--server nats://127.0.0.1:1 --creds " + empty, "type `rimegate district --server"},
		{"--server nats://127.0.0.1:1 --creds " + empty + " tomorrow", "type `rimegate district --server"},
		{"--creds " + empty + " today", "--server: "},
		{"--server nats://127.0.0.1:1 today", "nobody said which farms"},
		{"--server nats://127.0.0.1:1 --creds " + empty + " today", "holds no credentials"},
		{"--server nats://127.0.0.1:1 --creds " + empty + "/none today", "cannot be read"},
		{"--server nats://127.0.0.1:1 --creds " + empty + " --use x today", "--use"},
		{"--server nats://share.example.org:1 --creds " + empty + " today", "readable by everybody"},
	} {
		status, _, errOut := invoke(t, append([]string{"district"}, strings.Fields(c.line)...)...)
		if status != statusWords || !strings.Contains(errOut, c.want) {
			t.Errorf("%s: status %d, %s", c.line, status, errOut)
		}
	}
}
