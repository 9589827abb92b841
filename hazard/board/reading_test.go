package board

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// Three invented farms, of 6, 12 and 20 paddocks, one of them on a bad morning: what
// ten questions each ask for stands on their pages, which are at most 60 lines long.
// The pages are beside the questions, for whoever wants to be asked.
func TestPagesAnswerQuestions(t *testing.T) {
	const dir = "../../testdata/reading"
	text, err := os.ReadFile(filepath.Join(dir, "questions.txt"))
	if err != nil {
		t.Fatal(err)
	}
	page, question, asked := "", "", 0
	for _, l := range strings.Split(string(text), "\n") {
		switch answer, isAnswer := strings.CutPrefix(l, "\t"); {
		case l == "" || strings.HasPrefix(l, "#"):
		case isAnswer:
			if !strings.Contains(strings.Join(strings.Fields(page), " "), strings.Join(strings.Fields(answer), " ")) {
				t.Errorf("%s\n%q is not on the page:\n%s", question, answer, page)
			}
		case strings.HasPrefix(l, "farm "):
			page = readingPage(t, dir, strings.Fields(l))
		default:
			question = l
			asked++
		}
	}
	if asked != 30 {
		t.Errorf("%d questions, want 30", asked)
	}
}

// readingPage is the page of a farm, by "farm NAME DAY TIME".
func readingPage(t *testing.T, dir string, of []string) string {
	f, err := os.Open(filepath.Join(dir, of[1]+".jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	es, err := fields.ReadJSONL(f)
	if err != nil {
		t.Fatal(err)
	}
	loc := fields.Fold(es, fields.View{On: day(of[2])}).Loc
	at, err := time.ParseInLocation("2006-01-02 15:04", of[2]+" "+of[3], loc)
	if err != nil {
		t.Fatal(err)
	}
	h := fields.Fold(es, fields.View{On: day(of[2]), KnownAt: at})
	a := hazard.Assess(h, rules.Default())
	text := pageText(t, a, Filter{}, 80)
	golden(t, filepath.Join("..", dir, of[1]+".txt"), text)
	words, lines, rows := len(strings.Fields(text)), strings.Count(text, "\n"), len(h.Standing())
	t.Logf("%s: %d paddocks, %d lines, %d words, %.0f words a paddock", of[1], rows, lines, words, float64(words)/float64(rows))
	if most := map[bool]int{false: 60, true: 65}[len(NewPage(a, Filter{}, nil).Acts) > 0]; lines > most { // a bad morning needs more words
		t.Errorf("%s: %d lines", of[1], lines)
	}
	return pageText(t, a, Filter{}, 500) // where no cell wraps
}
