package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"

	"rimegate/fields"
	"rimegate/fields/journal"
)

// nasty is text that would act on what trusts it: a terminal, a screen of tags, a
// spreadsheet, a page, a calendar, a data file.
var nasty = []string{
	"\x1b[31mRed\x1b[0m\x1b]0;title\x07 \u009b2J", "[red]tag[-:-:b]", "=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(1)", "\t=1+1",
	"<script>alert(1)</script><img src=x onerror=alert(1)>", `"><svg/onload=alert(1)>`, "</pre></title><!--", "{{.}} %s %n %!d(x)",
	") Tj ET /JavaScript (app.alert(1)) /OpenAction BT (", "endstream endobj trailer", "\u202egnp.exe\u2066x\u200bz\ufeff", "nul\x00nul",
	"tag\U000e0041\U000e0100\u007f", "line\nBEGIN:VEVENT\r\nEND:VCALENDAR\r\nX", `"},{"id":"x","kind":"frost"`, "]]]\n[farm]\nname = \"x\"", "\u2028\u2029\u0085x", strings.Repeat("wide 狐 ", 30),
	"z\u0301\u0301\u0301\u0301\u0301\u0301\u0301\u0301\u0301\u0301\u0301\u0301", "\ufffd\ufffe", "$(touch x) `touch x`; touch x", "../../../etc/passwd",
}

// hostileLines are entries with such text wherever a person or a file can put one.
func hostileLines(t *testing.T) []fields.Entry {
	t.Helper()
	var out strings.Builder
	n := 0
	add := func(kind, rest string, say ...any) {
		quoted := make([]any, len(say))
		for i, s := range say {
			q, err := json.Marshal(s)
			if err != nil {
				t.Fatal(err)
			}
			quoted[i] = string(q)
		}
		by, _ := json.Marshal("M" + nasty[n%len(nasty)])
		note, _ := json.Marshal(nasty[(n*7+3)%len(nasty)])
		fmt.Fprintf(&out, `{"id":"01K0000000000000000000X%03d","kind":%q,"recorded":"2026-10-06T06:%02d:00-06:00","by":%s,"note":%s,`+rest+"}\n",
			append([]any{n, kind, n / 10, by, note}, quoted...)...)
		n++
	}
	for i, h := range nasty {
		p := fmt.Sprintf(`"paddock":"h%d"`, i)
		add("paddock", p+`,"name":%s,"station":"home","area_ha":9,"on":"2026-06-01"`, h)
		add("sown", p+`,"species":[{"species":%s},{"species":"sorghum-sudangrass"}],"on":"2026-06-02"`, h)
	}
	for i, h := range nasty[:12] {
		p, ps := fmt.Sprintf(`"paddock":"h%d"`, i), fmt.Sprintf(`"paddocks":["h%d"]`, i)
		add("seen", p+`,"species":[%s],"where":%s,"on":"2026-06-03"`, h, h)
		add("walk", p+`,"alive":[%s],"absent":[%s],"shortest_cm":90,"on":"2026-09-30"`, h, h)
		add("frost", ps+`,"night":"2026-10-06","seen":%s,"low_c":-3`, h)
		add("sprayed", ps+`,"product":%s,"on":"2026-09-01"`, h)
		add("nitrogen", ps+`,"form":%s,"kg_n_ha":80,"on":"2026-07-01"`, h)
		add("incident", p+`,"what":%s,"down":1,"on":"2026-10-05"`, h)
		add("vet", p+`,"advice":"keep-off","who":%s,"because":%s,"on":"2026-10-05"`, h, h)
		add("lot", fmt.Sprintf(`"lot":"l%d","lot_kind":"hay","made_on":"2026-08-01","from":["h%d"],"species":[%%s],"seller":%%s`, i, i), h, h)
		add("sampled", p+`,"sample":%s,"lab":%s,"on":"2026-09-20"`, h, h)
		add("water", `"source":%s,"sampled_on":"2026-09-20","value":150,"form":"NO3-N","unit":"mg/L","herds":["pairs"]`, h)
		add("round", `"name":%s,"rrule":"FREQ=DAILY","what":%s,"on":"2026-09-01"`, h, h)
		add("station", fmt.Sprintf(`"station":"s%d","name":%%s,"on":"2026-06-01"`, i), h)
		add("reading", fmt.Sprintf(`"station":"s%d","night":"2026-10-06","low_c":1,"source":%%s`, i), h)
	}
	add("farm", `"name":%s,"zone":"America/Regina","contacts":{"manager":%s,"backup":%s,"vet":%s},"on":"2026-06-01"`,
		nasty[0]+nasty[7], nasty[2], nasty[1], nasty[11])
	add("override", `"rule":"prussic.frost.wait","value":10,"because":%s,"source":%s,"on":"2026-06-02"`, nasty[7], nasty[0])
	add("strike", `"entry":"01K0000000000000000000000D","because":%s,"on":"2026-10-06"`, nasty[15])
	add("grazed", `"paddock":"h0","state":"in","herd":"pairs","on":"2026-10-05"`)
	entries, err := fields.ReadJSONL(strings.NewReader(out.String()))
	if err != nil {
		t.Fatal(err)
	}
	return entries
}

// Rules of the kinds of output: what the program writes, whatever people wrote.
func fitForTerminal(text string) string {
	for i, r := range text {
		if r == utf8.RuneError && !strings.HasPrefix(text[i:], "\ufffd") || unicode.IsControl(r) && r != '\n' || unicode.Is(unicode.Bidi_Control, r) ||
			r == '\u2028' || r == '\u2029' || r == '\ufeff' || r == '\u200b' {
			return fmt.Sprintf("%U in %q", r, text[max(0, i-40):min(len(text), i+20)])
		}
	}
	return ""
}

func fitJSON(text string) string {
	for line := range strings.Lines(text) {
		if bad := fitForTerminal(strings.ReplaceAll(line, "\t", " ")); bad != "" {
			return bad
		}
	}
	dec := json.NewDecoder(strings.NewReader(text))
	for n := 0; ; n++ {
		var x any
		if err := dec.Decode(&x); err != nil {
			if n == 0 {
				return err.Error()
			}
			return ""
		}
	}
}

var number = regexp.MustCompile(`^[-+]?[0-9.]+$`)

func fitTOML(text string) string {
	var x map[string]any
	if err := toml.Unmarshal([]byte(text), &x); err != nil {
		return err.Error()
	}
	return fitForTerminal(text)
}

func fitCSV(text string) string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) == 0 {
		return fmt.Sprintf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows {
		for _, cell := range row {
			if bad := fitForTerminal(cell); bad != "" {
				return bad
			}
			if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) && !number.MatchString(cell) {
				return fmt.Sprintf("a spreadsheet works out %q", cell)
			}
		}
	}
	return ""
}

var hostileTags = regexp.MustCompile(`(?i)<(script|img|iframe|object|embed|link|base|form|input)\b|<svg/|<[a-z][^>]*\son[a-z]+=|javascript:|(src|href)="?[a-z]+://|url\(`)

func fitHTML(text string) string {
	if bad := fitForTerminal(strings.ReplaceAll(text, "\t", " ")); bad != "" {
		return bad
	}
	return hostileTags.FindString(regexp.MustCompile(`xmlns="http://[^"]*"`).ReplaceAllString(text, ""))
}

func fitPDF(text string) string {
	if !strings.HasPrefix(text, "%PDF-") || !strings.HasSuffix(strings.TrimSpace(text), "%%EOF") || strings.Count(text, "%%EOF") != 1 {
		return "it is no whole PDF"
	}
	for _, op := range []string{"/JavaScript", "/JS ", "/OpenAction", "/Launch", "/URI", "/SubmitForm", "/AA "} {
		if strings.Contains(text, op) && !(op == "/OpenAction" && strings.Count(text, "/OpenAction [3 0 R") == strings.Count(text, "/OpenAction")) {
			return "it holds " + op
		}
	}
	return ""
}

var icsLine = regexp.MustCompile(`^( |[A-Z][A-Z0-9-]*[;:])`)

func fitICS(text string) string {
	if !strings.HasSuffix(text, "END:VCALENDAR\r\n") || strings.Count(text, "BEGIN:VCALENDAR") != 1 {
		return "it is no whole calendar"
	}
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		if len(line) > 75 || !icsLine.MatchString(line) || !utf8.ValidString(line) || fitForTerminal(line) != "" {
			return fmt.Sprintf("the line %q", line)
		}
	}
	return ""
}

// fits are the rules by what a file's name ends in; "" is text for people.
var fits = map[string]func(string) string{
	"": fitForTerminal, ".txt": fitForTerminal, ".toml": fitTOML, ".json": fitJSON, ".jsonl": fitJSON, ".csv": fitCSV, ".html": fitHTML,
	".pdf": fitPDF, ".ics": fitICS, ".journal": nil, ".mark": nil,
}

// waysAsked are the ways to ask each command that prints or writes what people said: the
// arguments, and behind "->" the rule of what is printed. OUT is a folder of its own.
// The commands of log are asked below, all in one way.
var waysAsked = map[string][]string{
	"demo": {"--dir OUT/demo"}, "start": {"--template -> .toml"},
	"today":        {"", "--full", "--json -> .json", "--csv -> .csv", "--stream -> .jsonl", "--lang es", "--full --use feed"},
	"sheet":        {"--html -> .html", "--pdf -> .pdf", "--cards --html -> .html", "--records --out OUT/door/", "--out OUT/page.html", "--out OUT/page.pdf"},
	"why":          {"h0", "--full h1", "--json h7 -> .json", "--full --sources l1"},
	"strike":       {"--because x 01K0000000000000000000X000 --dry-run", "--dry-run --because x 01K0000000000000000000X000"},
	"history":      {"", "h3"},
	"record":       {"h0", "--html --out OUT/record.html h7", "--pdf --out OUT/record.pdf h11", "l0"},
	"nights":       {"--paddock h0", "--paddock h1 --chart", "--json --paddock h0 -> .json"},
	"tonight":      {""},
	"import":       {"--station s0 --dry-run OUT/in.csv", "--station home --dry-run OUT/odd.csv"},
	"farm":         {""},
	"farm set":     {"--name x --zone America/Regina --dry-run"},
	"farm export":  {" -> .toml", "OUT/farm.toml"},
	"farm watch":   {"--record OUT/odd.csv --station s0"},
	"paddock list": {""},
	"paddock add":  {"--name x --dry-run new", "--template -> .csv"},
	"paddock set":  {"--name x --dry-run h0"},
	"paddock offset": {
		"--history OUT/odd.csv h0",
	},
	"paddock plan": {"--species sudangrass h0"},
	"herd list":    {""}, "herd add": {"--class cows --head 3 --dry-run new"}, "herd set": {"--head 4 --dry-run pairs"},
	"station list": {""}, "station add": {"--name x --dry-run new"}, "station set": {"--name x --dry-run s0"},
	"lot list": {""}, "lot add": {"--kind hay --made today --from h0 --dry-run new"}, "lot set": {"--bales 4 --dry-run l0"},
	"ahead": {"--days 3", "--json --days 2 -> .json"}, "moves": {"--days 3", "--json --days 2 -> .json"},
	"rounds": {""}, "calendar": {"OUT/farm.ics", "- -> .ics"},
	"sample": {"h0", "l0"}, "water": {""}, "blend": {"--lot l0 --lot l1 --for cows"},
	"rules list": {"prussic.frost"}, "rules show": {"prussic.frost.wait"}, "rules check": {"OUT/odd.toml"},
	"rules compare": {"h0", "--json h0 -> .json"}, "rules species": {"sudex"},
	"journal check": {""}, "journal copy": {"OUT/copy.journal"}, "journal export": {" -> .jsonl", "OUT/all.jsonl"},
	"journal import": {"OUT/odd.jsonl", "--dry-run OUT/odd.csv"}, "journal merge": {"OUT/nothing.journal"}, "journal salvage": {"OUT/saved.jsonl"},
	"journal accept": {"--because x"},
	"share":          {"--server tls://127.0.0.1:1 --farm coulee --once"},
	"district":       {"--server nats://127.0.0.1:1 --farm coulee,NOTE today", "--server nats://127.0.0.1:1 --farm coulee --json today -> .json"},
	"version":        {""}, "help": {"today"}, "help cookbook": {""}, "help glossary": {"stand"}, "help limits": {""}, "help rules": {"prussic.frost.wait"},
	"help contract": {"3.6"}, "man": {"today -> .man"}, "completion": {"bash -> .sh"},
}

// Over one hostile farm every command says what it has to say by the rule of its kind of
// output, and so does every file it writes, for its owner alone. A command that is not
// among those asked fails the test.
func TestHostileTextInEveryOutput(t *testing.T) {
	if testing.Short() {
		t.Skip("runs every command")
	}
	path, _ := smallFarm(t)
	if _, err := journal.New(path).Import(hostileLines(t)); err != nil {
		t.Fatal(err)
	}
	out := t.TempDir()
	for name, text := range map[string]string{
		"in.csv": "night,low_c\n2026-10-05,3\n", "odd.csv": strings.Join(nasty, ",") + "\n" + strings.Join(nasty, "\n") + "\n",
		"odd.toml": strings.Join(nasty, "\n"), "odd.jsonl": strings.Join(nasty, "\n"),
	} {
		if err := os.WriteFile(filepath.Join(out, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	given := filesIn(t, out)
	one := strings.ReplaceAll(nasty[0]+" "+nasty[4]+nasty[13]+nasty[15], "\x00", "")
	for name := range leaves(t) {
		words := strings.Fields(name)
		say := func(kind string, args ...string) {
			status, text, errOut := invoke(t, append(slices.Clone(words), args...)...)
			if status < statusDone || status > statusJournal {
				t.Errorf("%s %q: status %d", name, args, status)
			}
			if fit := fits[kind]; fit != nil && text != "" {
				if bad := fit(text); bad != "" {
					t.Errorf("%s %q prints %s", name, args, bad)
				}
			}
			if bad := fitForTerminal(errOut); bad != "" {
				t.Errorf("%s %q says %s", name, args, bad)
			}
			if status != statusDone && status != statusFailed && errOut == "" {
				t.Errorf("%s %q: status %d without a word", name, args, status)
			}
		}
		say("", "--", one)
		lines, ok := waysAsked[name]
		switch {
		case ok:
		case words[0] == "log":
			lines = []string{"--dry-run h0", "--dry-run --on today --note NOTE h0"}
		default:
			t.Errorf("say in this test how `rimegate %s` is asked", name)
		}
		for _, line := range lines {
			line, kind, _ := strings.Cut(line, "->")
			args := strings.Fields(strings.ReplaceAll(line, "OUT", out))
			for i := range args {
				if args[i] == "NOTE" {
					args[i] = one
				}
			}
			say(strings.TrimSpace(kind), args...)
		}
	}
	for _, name := range []string{"h", "=", "\x1b", "-"} {
		if _, text, errOut := invoke(t, completionFlag, "why", name); fitForTerminal(strings.ReplaceAll(text, "\t", " "))+fitForTerminal(errOut) != "" {
			t.Errorf("completion of %q: %q %q", name, text, errOut)
		}
	}
	written := 0
	for _, name := range filesIn(t, out) {
		if slices.Contains(given, name) {
			continue
		}
		written++
		info, err := os.Stat(name)
		if err != nil {
			t.Fatal(err)
		}
		if runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
			t.Errorf("%s is written %v", name, info.Mode())
		}
		fit, known := fits[filepath.Ext(name)]
		text, err := os.ReadFile(name)
		if err != nil || !known {
			t.Fatalf("%s: %v; say by which rule such a file is looked at", name, err)
		}
		if fit != nil {
			if bad := fit(string(text)); bad != "" {
				t.Errorf("%s holds %s", filepath.Base(name), bad)
			}
		}
	}
	if written < 15 {
		t.Errorf("only %d files were written", written)
	}
	if left, _ := filepath.Glob("x"); len(left) > 0 {
		t.Error("a text was run by a shell")
	}
}

// filesIn are the ordinary files below a folder; folders are their owner's alone.
func filesIn(t *testing.T, dir string) (out []string) {
	t.Helper()
	err := filepath.Walk(dir, func(name string, info os.FileInfo, err error) error {
		if err == nil && !info.IsDir() {
			out = append(out, name)
		}
		if err == nil && info.IsDir() && name != dir && runtime.GOOS != "windows" && info.Mode().Perm() != 0o700 {
			t.Errorf("the folder %s is made %v", name, info.Mode())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// What writes a file follows no link: the file behind it stays as it is.
func TestNoLinkIsFollowed(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need rights there")
	}
	smallFarm(t)
	mine := []byte("mine\n")
	for _, line := range []string{
		"sheet --out LINK.html", "sheet --cards --out LINK.pdf", "record --html --out LINK.html creek", "farm export LINK.toml", "calendar LINK.ics",
		"journal copy LINK.journal", "journal export LINK.jsonl", "journal salvage LINK.jsonl",
	} {
		dir := t.TempDir()
		args := strings.Fields(strings.ReplaceAll(line, "LINK", filepath.Join(dir, "link")))
		target := filepath.Join(dir, "target")
		if err := os.WriteFile(target, mine, 0o600); err != nil {
			t.Fatal(err)
		}
		link := args[slices.IndexFunc(args, func(a string) bool { return strings.HasPrefix(a, dir) })]
		if err := os.Symlink(target, link); err != nil {
			t.Fatal(err)
		}
		status, _, errOut := invoke(t, args...)
		now, err := os.ReadFile(target)
		if err != nil || !bytes.Equal(now, mine) {
			t.Errorf("%s wrote %q behind the link (%v)", line, now, err)
		}
		if status == statusDone || errOut == "" {
			if to, err := os.Readlink(link); err == nil && to == target {
				t.Errorf("%s: status %d, %q", line, status, errOut)
			}
		}
	}
}
