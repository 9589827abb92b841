package main

import (
	"bytes"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// printed is what a command line prints, which must end well.
func printed(t *testing.T, args ...string) string {
	t.Helper()
	var out, errOut bytes.Buffer
	if status := run(append([]string{"rimegate"}, args...), strings.NewReader(""), &out, &errOut); status != 0 {
		t.Fatalf("%q ends with status %d: %s", args, status, errOut.String())
	}
	return out.String()
}

// terms are words that people meet on pages, in forms and in files, from the tables
// of the program.
func terms(t *testing.T) (all []string) {
	for _, f := range []hazard.Flag{hazard.Clear, hazard.Caution, hazard.Hold} {
		all = append(all, f.String())
	}
	for _, u := range append(slices.Clone(hazard.PaddockUses), hazard.Feed) {
		all = append(all, u.String())
	}
	for _, c := range hazard.Classes {
		all = append(all, c.String())
	}
	for _, h := range hazard.Hazards {
		all = append(all, h.String())
	}
	for _, n := range []hazard.Need{hazard.NeedTime, hazard.NeedEvidence, hazard.NeedDecision} {
		all = append(all, n.String())
	}
	for _, d := range rules.Docs() {
		all = append(all, d.Basis)
	}
	n := len(all)
	for kind, names := range map[fields.Kind][]string{
		fields.KindNoFrost: {"basis"}, fields.KindLab: {"form", "basis", "method"}, fields.KindSeen: {"extent"},
		fields.KindLot: {"lot_kind"}, fields.KindVet: {"advice"},
	} {
		for _, f := range fields.FieldsOf(kind) {
			if slices.Contains(names, f.Name) {
				all = append(all, f.Choices...)
			}
		}
	}
	if len(all) < n+15 {
		t.Fatalf("%d choices found", len(all)-n)
	}
	return append(all, "NO", "ASK", "YES")
}

// Every word of those has an entry, and each entry names what it rests on.
func TestGlossary(t *testing.T) {
	pages := topicPages["glossary"]()
	sections := map[string]bool{}
	for _, p := range topicPages["contract"]() {
		sections[p.names[0]] = true
	}
	source := regexp.MustCompile(`\nSource: (?:rule ([a-z0-9._-]+)|ours, contract ([0-9.]+)|common practice, no source)\.$`)
	seen := map[string]bool{}
	for _, p := range pages {
		m := source.FindStringSubmatch(strings.TrimRight(p.text, "\n"))
		if m == nil {
			t.Errorf("%s: its last line does not say its source: %q", p.names[0], p.text)
			continue
		}
		if m[1] != "" {
			if d, ok := rules.DocOf(m[1]); !ok || len(d.Sources) == 0 {
				t.Errorf("%s: there is no rule %q with a published source", p.names[0], m[1])
			}
		}
		if m[2] != "" && !sections[m[2]] {
			t.Errorf("%s: the contract has no %s", p.names[0], m[2])
		}
		for _, n := range p.names {
			n = strings.ToLower(n)
			if seen[n] {
				t.Errorf("%s has two entries", n)
			}
			seen[n] = true
		}
	}
	for _, w := range terms(t) {
		if !seen[strings.ToLower(w)] {
			t.Errorf("the glossary lacks %q", w)
		}
	}
	if got := printed(t, "help", "glossary", "killing", "frost"); !strings.HasPrefix(got, "killing frost\n") {
		t.Errorf("help glossary killing frost prints %q", got)
	}
}

// The limits name every hazard that is not assessed, and SAFETY.md leads to them.
func TestLimits(t *testing.T) {
	page := printed(t, "help", "limits")
	for _, l := range strings.Split(page, "\n") {
		if board.Width(l) > plainWidth {
			t.Errorf("the limits have a line of %d cells: %s", board.Width(l), l)
		}
	}
	text := strings.Join(strings.Fields(page), " ")
	for _, w := range hazard.NotAssessed {
		if !strings.Contains(text, w) {
			t.Errorf("the limits do not name %q", w)
		}
	}
	safety, err := os.ReadFile("../../SAFETY.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(safety), "(cmd/rimegate/docs/limits.md)") {
		t.Error("SAFETY.md does not lead to the limits")
	}
}

// Every page of every topic can be asked for by the name that its list shows, and fits
// a terminal.
func TestTopics(t *testing.T) {
	for topic, pages := range topicPages {
		list := printed(t, "help", topic)
		for _, p := range pages() {
			if !strings.Contains(strings.Join(strings.Fields(list), " "), p.names[0]) {
				t.Errorf("help %s does not name %q", topic, p.names[0])
			}
			text := printed(t, "help", topic, p.names[0])
			title, _, _ := strings.Cut(p.text, "\n")
			if !strings.HasPrefix(text, strings.TrimPrefix(title, "# ")+"\n") || strings.Contains(text, "\n#") || strings.Contains(text, "<!--") {
				t.Errorf("help %s %s prints %q", topic, p.names[0], text)
			}
			for _, l := range strings.Split(text, "\n") {
				if board.Width(l) > plainWidth && !strings.Contains(l, "http") {
					t.Errorf("help %s %s: %d cells: %s", topic, p.names[0], board.Width(l), l)
				}
			}
		}
	}
	var out, errOut bytes.Buffer
	for typed, want := range map[string]string{
		"cookbook frost-mornign": "cookbook frost-morning", "cookbok": "cookbook", "limit": "limits",
	} {
		errOut.Reset()
		status := run(append([]string{"rimegate", "help"}, strings.Fields(typed)...), strings.NewReader(""), &out, &errOut)
		if status != statusWords || !strings.Contains(errOut.String(), "did you mean `rimegate help "+want+"`?") {
			t.Errorf("help that is not there: status %d, %s", status, errOut.String())
		}
	}
	if printed(t, "help", "cookbook", "frost") != printed(t, "help", "cookbook", "frost-morning") {
		t.Error("the beginning of one recipe's name does not tell it")
	}
	for _, words := range [][]string{{"help", "log", "frost"}, {"help", "rules", "list"}, {"help", "help", "cookbook"}} {
		if got := printed(t, words...); !strings.Contains(got, "rimegate "+strings.Join(words[1:], " ")+" - ") {
			t.Errorf("%v prints %q", words, got)
		}
	}
	if got := printed(t, "help", "rules", "prussic.frost.wait"); got != printed(t, "rules", "show", "prussic.frost.wait") {
		t.Errorf("help rules says otherwise than rules show: %q", got)
	}
}

// The page of every rule says what it is, what rests on it, where the contract has it, how
// it may be changed and where it comes from.
func TestEveryRuleHasAPage(t *testing.T) {
	all := printed(t, "help", "rules", "all")
	pages := strings.Split(all, "\n\n")
	docs := rules.Docs()
	if len(pages) != len(docs) {
		t.Fatalf("%d pages for %d rules", len(pages), len(docs))
	}
	for i, d := range docs {
		for _, want := range []string{d.ID + ": ", "\nBasis ", "\nContract ", "\nTo change ", "\nSource "} {
			if !strings.Contains("\n"+pages[i]+"\n", want) {
				t.Errorf("the page of %s lacks %q", d.ID, want)
			}
		}
		if n := strings.Count(pages[i], "\nSource "); n != max(1, len(d.Sources)) {
			t.Errorf("%s shows %d sources of %d", d.ID, n, len(d.Sources))
		}
	}
	flat := strings.Join(strings.Fields(pages[5]), " ")
	if !strings.Contains(flat, `--value 10 --because "REASON"`+"` prints on every list: RELAXED: prussic.frost.wait is 10 days instead") {
		t.Errorf("the frost wait does not say how it is changed: %s", pages[5])
	}
}
