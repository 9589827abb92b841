package paper

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

var update = flag.Bool("update", false, "write the golden files anew")

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; run the tests once with -update and read what was written", err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("%s differs (-want +got):\n%s", name, d)
	}
}

// aRecord is an invented record with a week of a season.
func aRecord() *board.Record {
	from := fields.MakeDate(2026, 11, 16)
	r := &board.Record{
		Head: board.Head{
			Farm: "Willow <Bend>", Known: &made, KnownAt: "Fri 27 Nov 2026 06:52", Call: []string{"vet: Dr Lund 555-0100"},
			Rulebook: board.Rulebook{Name: "cautious", Version: "2026.2", Digest: "0123456789ab"}, NotAssessed: []string{"bloat"},
			Relaxed: []string{"RELAXED: prussic.frost.wait is 10 instead of 14, by Maren."},
		},
		ID: "slough", Name: "North & South Slough", From: from, To: from + 6, Grows: []string{"Grows Sudangrass."},
		Parts: []board.RecordPart{
			{Title: "THE ANSWER EACH MORNING", Says: []string{"The worst of them."}, Rows: []board.RecordRow{
				{When: "Mon 16 Nov 2026", Word: "NO through Sat 5 Dec 2026", Lines: []string{"Froze.", "Classes differ."}},
			}},
			{Title: "EVERY ENTRY, IN ORDER", Rows: []board.RecordRow{
				{When: "Mon 16 Nov 2026", Word: "STRUCK", Lines: []string{`Frost: note "<b>white</b>".`, "Maren, written down then."}},
			}},
		},
		Again:   "rimegate record --from 2026-11-16 --to 2026-11-22 --known-at 2026-11-27T12:52:00Z slough",
		Printed: "Printed Fri 27 Nov 2026 06:52 by rimegate v1.0.",
		Season: board.Season{MinHeight: 61, Heights: []board.SeasonHeight{{On: from + 2, CM: 70}}, Marks: []board.SeasonMark{
			{On: from + 2, Letter: "W"}, {On: from + 2, Letter: "L"}, {On: from + 5, Letter: "I"},
		}},
	}
	for i, low := range []float64{4, 2, -5.5, 1, 3, 0, 6} {
		r.Season.Days = append(r.Season.Days, board.SeasonDay{
			On: from.Add(i), Flag: []hazard.Flag{hazard.Clear, hazard.Caution, hazard.Hold}[min(i, 2)], HasLow: i != 5,
			LowC: low, Froze: i == 2, Possible: i == 3, Unread: i == 5,
		})
	}
	return r
}

func TestRecordGoldens(t *testing.T) {
	var text, page, pdf bytes.Buffer
	r := aRecord()
	for _, err := range []error{r.Text(&text), RecordHTML(&page, r), RecordPDF(&pdf, r, Letter)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	golden(t, "record.txt", text.String())
	golden(t, "record.html", strings.Replace(page.String(), string(style()), "", 1))
	var again bytes.Buffer
	if err := RecordPDF(&again, aRecord(), Letter); err != nil || !bytes.Equal(again.Bytes(), pdf.Bytes()) {
		t.Error("the same record made another PDF")
	}
	// The PDF shows the same words in the same order, whatever its lines.
	shows := strings.Join(strings.Fields(pdfText(t, pdf.Bytes())), " ")
	for _, want := range []string{
		r.Title(), "Grows Sudangrass.", "RELAXED: prussic.frost.wait is 10", "NO through Sat 5 Dec 2026", "Froze.",
		"STRUCK", `Frost: note "<b>white</b>".`, "Dr Lund 555-0100", r.Digest(), r.Printed, "page 1 of 1", "freezing", "animal down or dead",
	} {
		i := strings.Index(shows, want)
		if i < 0 {
			t.Errorf("the PDF does not show %q:\n%s", want, shows)
		}
	}
}

// The picture is read without colours: it has black, white and greys only, a letter, a
// word or a shape for each thing, and words for who cannot see it.
func TestThePictureNeedsNoColours(t *testing.T) {
	svg := drawSeason(&aRecord().Season, "North & <South> Slough").svg()
	for _, c := range regexp.MustCompile(`rgb\((\d+),(\d+),(\d+)\)`).FindAllStringSubmatch(svg, -1) {
		if c[1] != c[2] || c[2] != c[3] {
			t.Errorf("a colour: %s", c[0])
		}
	}
	for _, want := range []string{
		`role="img"`, "<title ", "<desc ", "1 YES", ">NO</text>", ">ASK</text>", ">YES</text>", ">?</text>", ">froze</text>",
		"North &amp; &lt;South&gt; Slough", "Froze: Wed 18 Nov 2026", ">W</text>", ">L</text>", ">I</text>", "70 cm",
	} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q in\n%s", want, svg)
		}
	}
}

// A farm that reads °F sees round degrees of them.
func TestThePictureInUSUnits(t *testing.T) {
	s := aRecord().Season
	s.Units = board.US
	svg := drawSeason(&s, "x").svg()
	for _, want := range []string{">20 °F<", ">32 °F<", ">50 °F<", ">27.6 in<"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q in\n%s", want, svg)
		}
	}
}

// Text is black on white everywhere: 21:1, where 7:1 is asked for.
func TestTextIsBlackOnWhite(t *testing.T) {
	colours := regexp.MustCompile(`[^-]\b(?:color|background): *([^;]+);`).FindAllStringSubmatch(string(style()), -1)
	if len(colours) != 2 || colours[0][1] != "#000" || colours[1][1] != "#fff" {
		t.Errorf("other colours: %v", colours)
	}
}

// What is no record is said to be none.
func TestPlainOfOtherFiles(t *testing.T) {
	for _, b := range []string{"", "%PDF-1.3\n", "<!DOCTYPE html>\n<p>x", "%PDF-1.3 /Type /EmbeddedFile stream\nxxxx", "RECORD OF x"} {
		text, err := Plain([]byte(b))
		if err == nil {
			_, err = board.ReadRecord(text)
		}
		if err == nil {
			t.Errorf("%q passes for a record", b)
		}
	}
}
