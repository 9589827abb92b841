package paper

import (
	"bytes"
	"errors"
	"fmt"
	"html"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// entry is a journal line of 6 October, the morning that is printed.
func entry(n int, kind, rest string) string {
	return fmt.Sprintf(`{"id":"01K9%022d","kind":%q,"recorded":"2026-10-06T06:30:00-06:00","by":"Maren","on":"2026-10-06",%s}`, n, kind, rest)
}

// morning is the page of the scripts' farm after a frost, with the pairs inside.
func morning(t *testing.T, lang string, extra ...string) *board.Page {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/script/farm.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	lines := append([]string{
		strings.TrimSpace(string(text)),
		entry(1, "frost", `"paddocks":["north-slough"],"night":"2026-10-06","low_c":-3`),
		entry(2, "grazed", `"paddock":"north-slough","state":"in","herd":"pairs"`),
		entry(3, "lot", `"lot":"bench-hay","lot_kind":"hay","made_on":"2026-08-10","from":["hills"],"bales":40`),
	}, extra...)
	es, err := fields.ReadJSONL(strings.NewReader(strings.Join(lines, "\n")))
	if err != nil {
		t.Fatal(err)
	}
	h := fields.Fold(es, fields.View{On: fields.DateOf(at, time.UTC), KnownAt: at})
	tongue, err := board.CatalogFor(lang)
	if err != nil {
		t.Fatal(err)
	}
	return board.NewPage(hazard.Assess(h, rules.Default()), board.Filter{}, tongue)
}

var at = time.Date(2026, 10, 6, 12, 52, 0, 0, time.UTC)

// manyPaddocks are paddocks of names of their own.
func manyPaddocks(n int) []string {
	var out []string
	for i := range n {
		out = append(out, entry(100+i, "paddock", fmt.Sprintf(`"paddock":"p%d","name":"Quarter %03d","station":"home"`, i, i)))
	}
	return out
}

const hostile = `<script>alert(1)</script> "x" ' & </td> {{.}} =1+1 \(nb\) ` + "\u202egnp.exe\u0007\u001b[2J \U0001F404 \u6bd2 "

// hostilePage has texts from people in every place that takes one.
func hostilePage(t *testing.T) *board.Page {
	long := strings.Repeat("very long ", 40) + strings.Repeat("x", 300)
	q := func(s string) string { return strconv.QuoteToASCII(s) }
	json := func(s string) string { // Go's escapes are not JSON's
		return strings.NewReplacer(`\x`, `\u00`, `\a`, `\u0007`, `\U0001f404`, `\ud83d\udc04`).Replace(q(s))
	}
	return morning(t, "en",
		entry(10, "farm", `"name":`+json(hostile+"farm")+`,"zone":"America/Regina","contacts":{"manager":`+json(hostile+"manager")+`,"vet":`+json(hostile+"vet")+`}`),
		entry(11, "paddock", `"paddock":"bad","name":`+json(hostile+"paddock")+`,"station":"home"`),
		entry(12, "paddock", `"paddock":"long","name":`+json(long)+`,"station":"home"`),
		entry(13, "herd", `"herd":"`+strings.Repeat("w", 64)+`","classes":["sheep"],"head":3`),
		entry(14, "vet", `"paddock":"bad","advice":"keep-off","who":`+json(hostile+"who")+`,"because":"x"`),
		entry(15, "override", `"rule":"prussic.frost.wait","value":10,"because":`+json(hostile+"because")))
}

func bytesOf(t *testing.T, write func(io.Writer, *board.Page, Look) error, p *board.Page, look Look) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b, p, look); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSheetHTMLGolden(t *testing.T) {
	for _, lang := range []string{"en", "es", "fr"} {
		golden(t, "sheet-"+lang+".html", string(bytesOf(t, SheetHTML, morning(t, lang), Look{Size: Letter})))
	}
	golden(t, "cards-es.html", string(bytesOf(t, CardsHTML, morning(t, "es"), Look{Size: Letter, Large: true})))
}

// A page is one file: it loads nothing, runs nothing, and means nothing but itself.
// What people wrote is text in it.
func TestSheetHTMLIsOneFile(t *testing.T) {
	clean := bytesOf(t, SheetHTML, morning(t, "en"), Look{})
	for name, b := range map[string][]byte{
		"page": bytesOf(t, SheetHTML, hostilePage(t), Look{}), "cards": bytesOf(t, CardsHTML, hostilePage(t), Look{Large: true}),
	} {
		for _, bad := range []string{"<script", "://", "@import", "url(", "src=", "<iframe", "javascript:", "\u202e", "\x1b", "\x07"} {
			if bytes.Contains(b, []byte(bad)) {
				t.Errorf("the %s holds %q", name, bad)
			}
		}
		text := html.UnescapeString(string(b))
		for _, who := range []string{"paddock", "who", "manager"} {
			if want := `<script>alert(1)</script> "x" ' & </td> {{.}} =1+1 \(nb\) gnp.exe 🐄 毒 ` + who; !strings.Contains(text, want) {
				t.Errorf("the %s does not say %s", name, want)
			}
		}
		if !Ours(b) {
			t.Errorf("the %s is not known for our own", name)
		}
	}
	tags := regexp.MustCompile(`<[a-z]+|on[a-z]+=`)
	known := map[string]bool{}
	for _, x := range tags.FindAllString(string(clean), -1) {
		known[x] = true
	}
	for _, x := range tags.FindAllString(string(bytesOf(t, SheetHTML, hostilePage(t), Look{})), -1) {
		if !known[x] {
			t.Errorf("a text made %s", x)
		}
	}
	if Ours([]byte("<!DOCTYPE html><title>x")) || Ours([]byte("%PDF-1.4")) || Ours(nil) {
		t.Error("another's file is taken for our own")
	}
}

// A flag is a word with a shape of its own, and text stands out from what is behind
// it by 7 to 1 at least.
func TestContrast(t *testing.T) {
	rule := regexp.MustCompile(`([^{}]+)\{([^{}]*)\}`)
	colour := regexp.MustCompile(`(?:^|[;{\s])(color|background|background-color|fill):\s*([^;}\s]+)`)
	seen := 0
	for _, r := range rule.FindAllStringSubmatch(string(sheetStyle()), -1) {
		ink, paper := "#000", "#fff"
		for _, c := range colour.FindAllStringSubmatch(r[2], -1) {
			seen++
			if c[1] == "background" || c[1] == "background-color" {
				paper = c[2]
			} else {
				ink = c[2]
			}
		}
		if got := contrast(t, ink, paper); got < 7 {
			t.Errorf("%s: %s on %s is %.1f to 1", strings.TrimSpace(r[1]), ink, paper, got)
		}
	}
	if seen < 2 {
		t.Error("the style names no colours; this test would prove nothing")
	}
	if contrast(t, "#777", "#fff") > 7 || contrast(t, "#000", "#fff") != 21 {
		t.Error("the contrast is worked out wrongly")
	}
	s := newSheet(morning(t, "en"), Look{})
	words, shapes, classes := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, f := range []hazard.Flag{hazard.Hold, hazard.Caution, hazard.Clear} {
		m := s.Mark(f)
		words[m.Word], shapes[m.Shape], classes[m.Class] = true, true, true
	}
	if len(words) != 3 || len(shapes) != 3 || len(classes) != 3 {
		t.Error("two flags look the same")
	}
}

// contrast is that of WCAG 2.1 between two colours like #777 or #777777.
func contrast(t *testing.T, a, b string) float64 {
	light := func(s string) float64 {
		s = strings.TrimPrefix(s, "#")
		if len(s) == 3 {
			s = string([]byte{s[0], s[0], s[1], s[1], s[2], s[2]})
		}
		v, err := strconv.ParseUint(s, 16, 24)
		if err != nil || len(s) != 6 {
			t.Fatalf("%q is no colour this test can read", s)
		}
		sum := 0.0
		for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
			c := float64(v>>(16-8*i)&255) / 255
			if c <= 0.03928 {
				c /= 12.92
			} else {
				c = math.Pow((c+0.055)/1.055, 2.4)
			}
			sum += weight * c
		}
		return sum
	}
	x, y := light(a), light(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// squeezed is a text with single spaces.
func squeezed(s string) string { return strings.Join(strings.Fields(s), " ") }

// Of 300 paddocks each has one row, whole, on a page that says whose and which day's it
// is, what counts on another day, and what its columns are.
func TestSheetPaginates(t *testing.T) {
	for _, look := range []Look{{Size: Letter}, {Size: A4, Large: true}} {
		p := morning(t, "en", manyPaddocks(300)...)
		b := bytesOf(t, SheetPDF, p, look)
		if !bytes.Equal(b, bytesOf(t, SheetPDF, p, look)) {
			t.Error("the same page made other bytes")
		}
		pages := strings.Split(strings.TrimRight(pdfText(t, b), "\f\n"), "\f")
		if len(pages) < 5 {
			t.Fatalf("%d pages", len(pages))
		}
		said := map[string]int{}
		name := regexp.MustCompile(`Quarter \d{3}`)
		for i, page := range pages {
			text := squeezed(page)
			for _, want := range []string{
				p.Words.Farm, p.Words.Date, p.Words.Known, p.Words.Wrong, p.Words.ReadBy + " ___",
				fmt.Sprintf("page %d of %d", i+1, len(pages)),
			} {
				if !strings.Contains(text, want) {
					t.Errorf("page %d does not say %q", i+1, want)
				}
			}
			rows := name.FindAllString(text, -1)
			if len(rows) > 0 && !strings.Contains(text, "why, and what next") {
				t.Errorf("page %d has no head over its rows", i+1)
			}
			if n := strings.Count(text, "nobody has logged what grows here"); len(rows) > 0 && n < len(rows) {
				t.Errorf("page %d has %d paddocks and %d reasons", i+1, len(rows), n)
			}
			for _, r := range rows {
				said[r]++
			}
		}
		for i := range 300 {
			if n := fmt.Sprintf("Quarter %03d", i); said[n] != 1 {
				t.Errorf("%s stands %d times", n, said[n])
			}
		}
		nothingOverlaps(t, b)
	}
}

// Up to 20 paddocks are on one sheet, in each language and on each size.
func TestTwentyPaddocksOnOneSheet(t *testing.T) {
	for _, lang := range []string{"en", "es", "fr"} {
		for _, size := range []Size{Letter, A4} {
			b := bytesOf(t, SheetPDF, morning(t, lang, manyPaddocks(17)...), Look{Size: size})
			if n := strings.Count(strings.TrimRight(pdfText(t, b), "\f\n"), "\f") + 1; n != 1 {
				t.Errorf("%s on %s: %d pages", lang, size, n)
			}
			nothingOverlaps(t, b)
		}
	}
}

// six is a page of as many columns as there are classes, on a farm without herds.
func six(p *board.Page) *board.Page {
	columns := p.Columns
	for i := len(p.Columns); i < 6; i++ {
		p.Columns = append(p.Columns, columns[i%len(columns)])
		for _, rows := range [][]board.PageRow{p.Rows, p.Feed} {
			for j := range rows {
				rows[j].Flags = append(rows[j].Flags, hazard.Caution)
			}
		}
	}
	return p
}

// Many herds do not push a word off the page, nor onto another.
func TestManyColumns(t *testing.T) {
	for _, look := range []Look{{Size: Letter}, {Size: A4, Large: true}} {
		p := six(morning(t, "fr"))
		b := bytesOf(t, SheetPDF, p, look)
		if n, want := strings.Count(pdfText(t, b), p.Words.ASK), 5*len(p.Rows)-5+6; n < want {
			t.Errorf("%d of %d words are there", n, want)
		}
		nothingOverlaps(t, b)
		nothingOverlaps(t, bytesOf(t, CardsPDF, p, look))
	}
}

// A card for each gate, with the answer for each herd, what the card is good for and
// whom to call.
func TestCards(t *testing.T) {
	for _, look := range []Look{{Size: Letter}, {Size: A4, Large: true}} {
		for _, lang := range []string{"en", "fr"} {
			p := morning(t, lang, manyPaddocks(9)...)
			b := bytesOf(t, CardsPDF, p, look)
			pages := strings.Split(strings.TrimRight(pdfText(t, b), "\f\n"), "\f")
			if want := map[bool]int{false: 3, true: 6}[look.Large]; len(pages) != want {
				t.Errorf("%d cards on %d sheets, not %d", len(p.Rows), len(pages), want)
			}
			all := strings.Join(pages, "\n")
			for i := range p.Rows {
				if r := &p.Rows[i]; strings.Count(all, r.Name) != 1 {
					t.Errorf("%s stands %d times", r.Name, strings.Count(all, r.Name))
				}
			}
			if n := strings.Count(all, p.Words.Date); n != len(p.Rows) {
				t.Errorf("%d cards of %d have the date", n, len(p.Rows))
			}
			for _, want := range []string{p.Words.NO, p.Words.ASK, "pairs", "ewes", "555-0101"} {
				if n := strings.Count(all, want); n == 0 {
					t.Errorf("no card says %q", want)
				}
			}
			nothingOverlaps(t, b)
		}
	}
}

// A swath in a paddock is on the card of its gate.
func TestACardForAGate(t *testing.T) {
	p := morning(t, "en")
	swath := p.Rows[0]
	swath.Name += ", the swath"
	p.Rows = append(p.Rows, swath)
	if s := newSheet(p, Look{}); len(s.Cards) != len(p.Rows)-1 || len(s.Cards[0].Rows) != 2 || len(s.Cards[0].Here) != 1 {
		t.Errorf("%d cards: %+v", len(s.Cards), s.Cards)
	}
}

// What people wrote is never cut out in silence, nor does it spoil a page.
func TestHostileSheets(t *testing.T) {
	p := hostilePage(t)
	for name, write := range map[string]func(io.Writer, *board.Page, Look) error{"page": SheetPDF, "cards": CardsPDF} {
		for _, look := range []Look{{Size: Letter}, {Size: A4, Large: true}} {
			b := bytesOf(t, write, p, look)
			text := squeezed(pdfText(t, b))
			for _, want := range []string{"[U+1F404]", "[U+6BD2]", "alert(1)"} {
				if !strings.Contains(strings.ReplaceAll(text, " ", ""), want) {
					t.Errorf("the %s does not say %s", name, want)
				}
			}
			if strings.Contains(text, "\u202e") {
				t.Errorf("the %s turns its text round", name)
			}
			nothingOverlaps(t, b)
			if !Ours(b) {
				t.Errorf("the %s is not known for our own", name)
			}
		}
	}
}

// word is a word of a page and where it stands, in points.
type word struct {
	text       string
	x, y, w, h float64
}

// nothingOverlaps holds that every word stands on its page, and none on another.
func nothingOverlaps(t *testing.T, pdf []byte) {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not here")
	}
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	pages := regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)">`)
	words := regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>`)
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for n, page := range strings.Split(string(out), "</page>") {
		size := pages.FindStringSubmatch(page)
		if size == nil {
			continue
		}
		var here []word
		for _, m := range words.FindAllStringSubmatch(page, -1) {
			w := word{html.UnescapeString(m[5]), num(m[1]), num(m[2]), num(m[3]) - num(m[1]), num(m[4]) - num(m[2])}
			if w.x < 0 || w.y < 0 || w.x+w.w > num(size[1]) || w.y+w.h > num(size[2]) {
				t.Errorf("page %d: %q stands off the page", n+1, w.text)
			}
			w.y, w.h = w.y+w.h/4, w.h/2 // what is inked of most letters
			here = append(here, w)
		}
		if len(here) == 0 {
			t.Errorf("page %d is empty", n+1)
		}
		for i, a := range here {
			for _, b := range here[i+1:] {
				across, down := min(a.x+a.w, b.x+b.w)-max(a.x, b.x), min(a.y+a.h, b.y+b.h)-max(a.y, b.y)
				if across > 1 && down > 0.5 {
					t.Errorf("page %d: %q and %q stand on each other", n+1, a.text, b.text)
				}
			}
		}
	}
}

// chromium prints a page as whoever opens it would, on a sheet of the size that the
// page asks for, without any network.
func chromium(t *testing.T, page []byte) []byte {
	t.Helper()
	program := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			program = p
			break
		}
	}
	if program == "" || testing.Short() {
		t.Skip("chromium is not here, or the tests are to be short")
	}
	dir := t.TempDir()
	file, out := filepath.Join(dir, "x.html"), filepath.Join(dir, "x.pdf")
	if err := os.WriteFile(file, page, 0o600); err != nil {
		t.Fatal(err)
	}
	var said []byte
	var err error
	for range 3 { // on a busy machine the browser itself may crash
		said, err = exec.Command(program, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+t.TempDir(),
			"--host-resolver-rules=MAP * ~NOTFOUND", "--no-pdf-header-footer", "--print-to-pdf="+out, "file://"+file).CombinedOutput()
		if err == nil {
			break
		}
	}
	var died *exec.ExitError
	if errors.As(err, &died) && died.ExitCode() < 0 {
		t.Skipf("the browser crashed three times: %v: %s", err, said)
	}
	if err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The HTML page prints on one sheet, four cards to a sheet, and nothing of it is cut,
// on a sheet as narrow as a phone either.
func TestSheetInABrowser(t *testing.T) {
	for _, c := range []struct {
		name, size string
		write      func(io.Writer, *board.Page, Look) error
		page       *board.Page
		sheets     int // 0: as many as it takes
		large      bool
	}{
		{"page", "letter", SheetHTML, morning(t, "fr", manyPaddocks(13)...), 1, false},
		{"cards", "a4", CardsHTML, morning(t, "es", manyPaddocks(5)...), 2, false},
		{"page", "90mm 190mm", SheetHTML, hostilePage(t), 0, false},
		{"page", "letter", SheetHTML, six(morning(t, "fr")), 0, true},
	} {
		b := bytesOf(t, c.write, c.page, Look{Large: c.large})
		b = bytes.Replace(b, []byte("</style>"), []byte("@page { size: "+c.size+"; }</style>"), 1)
		if strings.HasPrefix(c.size, "90mm") { // a browser asks for the width of its own sheet, not of this one
			b = bytes.ReplaceAll(b, []byte("@media (max-width: 40rem)"), []byte("@media all"))
		}
		pdf := chromium(t, b)
		text := pdfText(t, pdf)
		if n := strings.Count(strings.TrimRight(text, "\f\n"), "\f") + 1; c.sheets > 0 && n != c.sheets {
			t.Errorf("%s on %s: %d sheets, not %d", c.name, c.size, n, c.sheets)
		}
		for i := range c.page.Rows {
			for _, w := range strings.Fields(c.page.Rows[i].Name) {
				if len(w) < 20 && w[0] < utf8.RuneSelf && !strings.Contains(text, w) {
					t.Errorf("%s on %s does not say %s", c.name, c.size, w)
				}
			}
		}
		nothingOverlaps(t, pdf)
	}
}
