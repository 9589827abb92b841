package board

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/printer"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
	"rimegate/weather"
)

var fullMonths = strings.Fields("January February March April May June July August September October November December")

// notInCode are the texts that the code hands to the page's language by name: each
// expression, and all that it can be.
var notInCode = map[string][]string{
	"lines[r.Line].short":          texts(lines[:], func(r lineRow) string { return r.short }),
	"lines[r.Line].step":           texts(lines[:], func(r lineRow) string { return r.step }),
	"lines[hazard.LineNone].short": nil,
	"lines[r.Line].says":           {lines[hazard.LineWater].says}, // of a notice; no other is on a page
	"waterAct":                     {waterAct},
	"unreviewed":                   {unreviewed},
	"weather.Never":                {weather.Never},
	"stressWords[r.Stress.Kind]":   stressWords[:],
	"columnWords[c]":               texts(hazard.Classes, func(c hazard.Class) string { return columnWords[c] }),
	"mayWords[p.Use]":              mayWords[:],
	"mayWords[hazard.Feed]":        nil,
	"months[m-1]":                  months,
	"m.String()":                   fullMonths,
	"m.Month.String()":             fullMonths,
	"week[d.Weekday()]":            week,
	"d.Weekday().String()":         strings.Fields("Monday Tuesday Wednesday Thursday Friday Saturday Sunday"),
	"k":                            {string(fields.LotHay), string(fields.LotSilage), string(fields.LotBaleage), string(fields.LotBought)},
	"speciesName(s.book, id)":      plantNames(),
	"english":                      nil, // in say itself
}

func plantNames() []string {
	var out []string
	for _, x := range rules.Default().Species {
		out = append(out, x.Name)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// pageTexts are all texts that a page can say, in the order they stand in.
func pageTexts(t *testing.T) []string {
	t.Helper()
	all := slices.Clone(hazard.NotAssessed)
	used := map[string]bool{}
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			sel, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || sel.Sel.Name != "t" && sel.Sel.Name != "say" {
				return true
			}
			if x, ok := sel.X.(*ast.Ident); !ok || x.Name != "s" { // the speaker's name everywhere
				return true
			}
			if x, ok := literal(call.Args[0]); ok {
				all = append(all, x)
				return true
			}
			var src bytes.Buffer
			if err := printer.Fprint(&src, set, call.Args[0]); err != nil {
				t.Fatal(err)
			}
			can, known := notInCode[src.String()]
			if !known {
				t.Errorf("%s: nobody says what %s can be; name it in notInCode", set.Position(call.Pos()), src.String())
			}
			used[src.String()] = true
			all = append(all, can...)
			return true
		})
	}
	for x := range notInCode {
		if !used[x] {
			t.Errorf("no page says %s any more; take it out of notInCode", x)
		}
	}
	seen := map[string]bool{"": true}
	return slices.DeleteFunc(all, func(x string) bool {
		was := seen[x]
		seen[x] = true
		return was
	})
}

// literal is a text written out in the code, in one piece or several.
func literal(x ast.Expr) (string, bool) {
	switch x := x.(type) {
	case *ast.BasicLit:
		s, err := strconv.Unquote(x.Value)
		return s, err == nil
	case *ast.BinaryExpr:
		a, ok := literal(x.X)
		b, too := literal(x.Y)
		return a + b, ok && too
	}
	return "", false
}

// keptNames are plants without a usual name of their own on ranches that speak the
// language.
var keptNames = map[string][]string{
	"es": {"Arrowgrass", "Capeweed", "Pin cherry", "Quackgrass", "Saskatoon (serviceberry)", "Shattercane"},
	"fr": {"Capeweed", "Columbus grass", "Shattercane", "Silk sorghum", "Stargrass"},
}

// Every text of a page is translated, none stands in a catalogue that no page says,
// and the words on the gate fit their columns.
func TestCatalogsAreComplete(t *testing.T) {
	want := pageTexts(t)
	if len(want) < 300 {
		t.Fatalf("only %d texts were found", len(want))
	}
	if err := fs.WalkDir(catalogues, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := catalogues.ReadFile(name)
		if err != nil {
			return err
		}
		lang := strings.TrimSuffix(filepath.Base(name), ".txt")
		c, err := readCatalog(name, string(text), func(x string) bool {
			if !slices.Contains(want, x) {
				t.Errorf("%s: no page says %q any more", name, x)
			}
			return true
		})
		if err != nil {
			return err
		}
		for _, x := range want {
			kept := slices.Contains(keptNames[lang], x)
			switch translated := c[x] != ""; {
			case !translated && !kept:
				t.Errorf("%s lacks %q: add it, and its translation on the next line", name, x)
			case translated && kept:
				t.Errorf("%s translates %q: take it out of keptNames", name, x)
			}
		}
		for _, x := range []string{"NO", "ASK", "YES"} {
			if Width(c[x]) > mostColumn {
				t.Errorf("%s: %q is too wide for its column", name, c[x])
			}
		}
		for _, row := range lines {
			for _, x := range []string{row.short, row.step} {
				if en, n := Width(x), Width(c[x]); n > 25 && n > 2*en {
					t.Errorf("%s: %q is more than twice as long as %q", name, c[x], x)
				}
			}
		}
		return nil
	}); err != nil {
		t.Error(err)
	}
	if !t.Failed() {
		return
	}
	t.Log("every text:\n" + strings.Join(want, "\n"))
}

func TestCatalogIsReadStrictly(t *testing.T) {
	known := func(x string) bool { return !strings.Contains(x, "unknown") }
	for text, want := range map[string]string{
		"# a\n\nNO\nNON\n":                      "",
		"off {day}\njusqu'au {day}\n":           "",
		"a{: |b|c} || {b}\nà{ : |b|d} || {b}\n": "",
		"NO\n":                                  `x, line 1: "NO" has no translation`,
		"NO\n\nYES\nOUI\n":                      `x, line 1: "NO" has no translation`,
		"NO\n# NON\n":                           `x, line 1: "NO" has no translation`,
		"NO\nNON\n\nNO\nNON\n":                  `x, line 4: "NO" stands here a second time`,
		"an unknown text\nNON\n":                `x, line 1: "an unknown text" is no text of the page`,
		"off {day}\njusqu'au {jour}\n":          "x, line 1: \"off {day}\" has the parts [1:day], its translation [1:jour]",
		"off {day}\njusqu'à la fin\n":           "its translation []",
		"a{: |b} || {b}\nà{ : |b}\n":            "[1:b 2:b]",
	} {
		_, err := readCatalog("x", text, known)
		if got := ""; err != nil {
			got = err.Error()
			if want == "" || !strings.Contains(got, want) {
				t.Errorf("%q: %s, not %s", text, got, want)
			}
		} else if want != "" {
			t.Errorf("%q is taken", text)
		}
	}
}

func TestCatalogFor(t *testing.T) {
	for tag, no := range map[string]string{
		"es": "NO", "es-MX": "NO", "es_MX.UTF-8": "NO", "ES": "NO", "fr": "NON", "fr-CA": "NON",
		"en": "", "en-CA": "", "en_US.UTF-8": "",
	} {
		c, err := CatalogFor(tag)
		if err != nil || c["NO"] != no {
			t.Errorf("%s: NO is %q, %v", tag, c["NO"], err)
		}
	}
	for _, tag := range []string{"de", "x", "", "spanish?", "zh-Hant", "C"} {
		if c, err := CatalogFor(tag); err == nil {
			t.Errorf("%q is taken for %q", tag, c["NO"])
		}
	}
}

// A page in a language of which not one letter is English shows every text that is
// still put together in English: only names and units are left.
func TestNothingOfAPageStaysEnglish(t *testing.T) {
	c := Catalog{}
	for _, x := range pageTexts(t) {
		c[x] = greek(x)
	}
	var all []string
	say := func(a *hazard.Assessment, f Filter) {
		p := NewPage(a, f, c)
		p.Words.Unreviewed = "" // half of it is English
		var b bytes.Buffer
		if err := p.Text(&b, 100); err != nil {
			t.Fatal(err)
		}
		all = append(all, b.String())
	}
	a := farmAssessment(t)
	a.Book = rules.Default()
	for u := range mayWords {
		use := hazard.Use(u)
		say(a, Filter{Use: &use})
	}
	say(a, Filter{})
	for l := range hazard.NumLines {
		r, _ := lineReason(l)
		less := r // what the reason has only at times left out
		less.Species, less.Plants, less.Nights, less.Vet, less.Frost = "", nil, nil, &hazard.VetWord{}, fields.NoDate
		soft := r
		soft.SoftBy = &hazard.Softening{}
		for _, r := range []hazard.Reason{r, less, soft} {
			one := farmAssessment(t)
			one.Book = a.Book
			for i := range one.Paddocks {
				for j := range one.Paddocks[i].Verdicts {
					v := &one.Paddocks[i].Verdicts[j]
					*v = verdict(v.Use, v.Class, []hazard.Reason{r}, nil)
				}
			}
			say(one, Filter{})
		}
	}
	say(loudFarm(t), Filter{})
	say(&hazard.Assessment{History: fields.Fold(nil, fields.View{On: a.History.On}), Book: a.Book}, Filter{})
	ours := regexp.MustCompile(`[A-Za-z]{2,}`)
	names := strings.Fields(`Coulee COULEE Farm FARM Ann Dr Moss North Slough Home Quarter Creek Grass pairs steers bales NORTH SLOUGH PAIRS ` +
		`STEERS HOME QUARTER CREEK GRASS cm mm kg ppm NO NO3 HCN mg rimegate paddock add name north slough herd class bred cattle head ` +
		`start super sweet well Yard brome yearlings`)
	seen := map[string]bool{}
	for _, page := range all {
		for _, line := range strings.Split(page, "\n") {
			for _, word := range ours.FindAllString(line, -1) {
				if !slices.Contains(names, word) && !seen[word] {
					seen[word] = true
					t.Errorf("%q in %s", word, line)
				}
			}
		}
	}
}

// loudFarm has all that goes before everything on a page.
func loudFarm(t *testing.T) *hazard.Assessment {
	a := season(t, "2026-09-11", 12, line(401, "fed", `"lot":"brome-26","herd":"pairs","from":"2026-09-01"`),
		line(402, "grazed", `"paddock":"creek","state":"in"`))
	a.History.Farm.Contacts.Backup = "Moss 555-0102"
	book := *a.Book
	a.Book = &book
	a.Book.Relaxed = []hazard.Relaxed{{Rule: "16", Value: "10 days", Default: "14 days", By: "Ann", Because: "Ann", Until: a.History.On}}
	water, _ := lineReason(hazard.LineWater)
	record := fields.WatchRecord{Station: "Yard", Seasons: 31, FromYear: 1990, ToYear: 2020}
	record.Lines = []fields.WatchLine{{LineC: 2.2, Earliest: fields.MonthDay{Month: 8, Day: 20}, Latest: fields.MonthDay{Month: 6, Day: 8}}}
	a.Notices = append(a.Notices, []hazard.Notice{
		{Kind: hazard.NoticeWater, Water: &water, Drinks: []string{"creek", "home-quarter"}},
		{Kind: hazard.NoticeHeight, CM: 300, Paddock: "creek", On: a.History.On, Sown: a.History.On},
		{Kind: hazard.NoticeWatch, Watch: &fields.Watch{From: fields.MonthDay{Month: 8, Day: 5}, To: fields.MonthDay{Month: 6, Day: 20}, Record: &record}},
		{Kind: hazard.NoticeStruckIncident, Lot: "brome-26", By: "Ann", On: a.History.On, Because: "Ann", Through: a.History.On},
		{Kind: hazard.NoticeStruckKeepOff, Paddock: "creek"},
		{Kind: ""},
	}...)
	a.Lots[0].SiloGasThrough = a.History.On
	return a
}

// greek writes the letters of a text, not those of its parts' names, in another script.
func greek(x string) string {
	var b strings.Builder
	name := false
	for i, r := range x {
		switch {
		case r == '{':
			inner, _, _ := strings.Cut(x[i:], "}")
			name = !strings.Contains(inner, "|")
		case r == '}':
			name = false
		case r == '|':
			name = !name
		case !name && unicode.IsLetter(r) && r < 'z':
			r = 'α' + r%24
		}
		b.WriteRune(r)
	}
	return b.String()
}
