package board

import (
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
	"rimegate/weather"
)

// pageTexts are all texts that a page can say, by themselves or with their parts:
// those handed to the page's language in the code, and those of the tables that the
// code takes them from.
func pageTexts(t *testing.T) map[string]bool {
	t.Helper()
	all := map[string]bool{}
	add := func(texts ...string) {
		for _, x := range texts {
			if x != "" {
				all[x] = true
			}
		}
	}
	// What is no literal in the code: each expression, and what it can be.
	tables := map[string]func(){
		"lines[r.Line].says":            func() { add(lines[hazard.LineWater].says) }, // of a notice; others are no text of a page
		"lines[r.Line].short":           func() { add(each(lines[:], func(r lineRow) string { return r.short })...) },
		"lines[r.Line].step":            func() { add(each(lines[:], func(r lineRow) string { return r.step })...) },
		"lines[hazard.LineNone].short":  func() {},
		"waterAct":                      func() { add(waterAct) },
		"weather.Never":                 func() { add(weather.Never) },
		"stressWords[r.Stress.Kind]":    func() { add(stressWords[:]...) },
		"columnWords[c]":                func() { add(each(hazard.Classes, func(c hazard.Class) string { return columnWords[c] })...) },
		"peopleClass[c]":                func() { add(each(hazard.Classes, func(c hazard.Class) string { return peopleClass[c] })...) },
		"mayWords[p.Use]":               func() { add(mayWords[:]...) },
		"months[m-1]":                   func() { add(months...) },
		"week[d.Weekday()]":             func() { add(week...) },
		"k":                             func() { add(lotKinds...) },
		"speciesName(s.book, id)":       func() {}, // below
		"english":                       func() {}, // of say itself
		"d.Weekday().String()":          func() { add("Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday") },
		"m.String()":                    func() { add(monthNames...) },
		"m.Month.String()":              func() {},
	}
	used := map[string]bool{}
	files := token.NewFileSet()
	pkgs, err := parser.ParseDir(files, ".", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	for name, f := range pkgs["board"].Files {
		if strings.HasSuffix(name, "_test.go") {
			continue
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
			if x, ok := literal(call.Args[0]); ok {
				add(x)
				return true
			}
			x := source(call.Args[0])
			if tables[x] == nil {
				t.Errorf("%s: nobody knows what %s can be; name it in this test", files.Position(call.Pos()), x)
				return true
			}
			used[x] = true
			tables[x]()
			return true
		})
	}
	for x := range tables {
		if !used[x] {
			t.Errorf("no page says %s; take it out of this test", x)
		}
	}
	add(hazard.NotAssessed...)
	for _, s := range rules.Default().Species {
		add(s.Name)
	}
	return all
}

var (
	lotKinds   = each(fields.Words("lot_kind"), func(w string) string { return w })
	monthNames = strings.Fields("January February March April May June July August September October November December")
)
