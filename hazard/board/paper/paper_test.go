package paper

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

var made = time.Date(2026, 11, 27, 12, 52, 0, 0, time.UTC)

// pdfText is a PDF's text as a reader's program finds it.
func pdfText(t *testing.T, b []byte) string {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not here")
	}
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, b, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return string(out)
}

func written(t *testing.T, d *pdf) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := d.write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A row stands on one page, every page has its number, and the same is the same bytes.
func TestRowsStayWhole(t *testing.T) {
	make := func() []byte {
		d := newPDF(Letter, "en", "Rows", "Wolverine Crossing", made)
		for i := range 60 {
			d.row(cell{face: face{bold, 10}, width: 30, texts: []string{fmt.Sprintf("first%d", i)}},
				cell{face: face{regular, 10}, at: 32, width: 60, texts: []string{strings.Repeat("grass ", 30), fmt.Sprintf("last%d", i)}})
		}
		return written(t, d)
	}
	b := make()
	if !bytes.Equal(b, make()) {
		t.Error("the same rows made other bytes")
	}
	pages := strings.Split(strings.TrimRight(pdfText(t, b), "\f\n"), "\f")
	if len(pages) < 3 {
		t.Fatalf("%d pages", len(pages))
	}
	for n, p := range pages {
		if want := fmt.Sprintf("page %d of %d", n+1, len(pages)); !strings.Contains(p, want) {
			t.Errorf("page %d does not say %q", n+1, want)
		}
		for i := range 60 {
			if strings.Contains(p, fmt.Sprintf("first%d ", i)) != strings.Contains(p, fmt.Sprintf("last%d\n", i)) {
				t.Errorf("row %d is divided at page %d", i, n+1)
			}
		}
	}
}

// A row longer than a page is written in full.
func TestALongRowGoesOn(t *testing.T) {
	d := newPDF(A4, "en", "Long", "", made)
	d.para(face{regular, 10}, 0, strings.Repeat("word ", 3000)+"end")
	text := pdfText(t, written(t, d))
	if n := strings.Count(text, "word"); n != 3000 || !strings.Contains(text, "end") {
		t.Errorf("%d of 3000 words", n)
	}
}

// What the fonts do not have is named by its number; nothing that a person wrote
// means something to the page.
func TestWhatPeopleWroteStaysText(t *testing.T) {
	d := newPDF(A4, "en", "Hostile (title) \\", "{nb} pages", made)
	d.para(face{regular, 10}, 0, `(unclosed \( {nb} <b> Ñandú Šárka Ωμέγα 牛 🐄 `+strings.Repeat("x", 400))
	text := strings.Join(strings.Fields(pdfText(t, written(t, d))), " ")
	for _, want := range []string{`(unclosed \( {nb} <b> Ñandú Šárka Ωμέγα [U+725B] [U+1F404]`, "{nb} pages", "page 1 of 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %s", want, text)
		}
	}
	if strings.Count(text, "x") < 400 {
		t.Error("a long word is cut")
	}
}

func TestSizeFor(t *testing.T) {
	for _, x := range []struct {
		zone, units string
		want        Size
	}{
		{"America/Regina", "metric", Letter},
		{"America/Chicago", "us", Letter},
		{"Pacific/Honolulu", "us", Letter},
		{"America/Argentina/Cordoba", "metric", A4},
		{"Australia/Sydney", "metric", A4},
		{"UTC", "metric", A4},
	} {
		loc, err := time.LoadLocation(x.zone)
		if err != nil {
			t.Fatal(err)
		}
		h := &fields.History{Loc: loc, Farm: fields.Farm{Units: x.units}}
		if got := SizeFor(h); got != x.want {
			t.Errorf("%s in %s units: %s, not %s", x.zone, x.units, got, x.want)
		}
	}
}

// The shell loads nothing and escapes its title.
func TestTheShellIsOneFile(t *testing.T) {
	var b bytes.Buffer
	if err := writeHTML(&b, style(), "en", `</title><script>x</script>`, "empty", nil); err == nil {
		t.Fatal("a page that is not there was written")
	}
	for _, bad := range []string{"<script", "http://", "https://", "@import", "url(", "src="} {
		if strings.Contains(strings.ToLower(string(style())), bad) {
			t.Errorf("the style holds %q", bad)
		}
	}
}
