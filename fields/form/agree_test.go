package form

import (
	"maps"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
)

// What is typed into a screen and on the command line makes the same entries, whatever it
// is, and what one of them refuses the other does. They differ where the line has no place
// for what a screen shows: a short name made of the name, a thermometer whose paddocks the
// form names itself, and an errand beside a round.
func TestScreensAndLineAgree(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 7))
	texts := map[Type][]string{
		Date:  {"today", "yesterday", "17-Sep", "17-Sep-2025", "tomorrow", "30-Feb", "2-Dec", "6.10.2026"},
		Ahead: {"tomorrow", "30-Oct", "1-Oct", "today"}, Moment: {"07:30", "yesterday 16:30", "25:00"},
		Count: {"0", "3", "-1", "2.5", "x"}, "text": {"a", "a, b", "ä狐"}, "number": {"1", "-105.5", "1,5"}, "figure": {"24", "3.000", "<5"},
		Figures: {"3000", "820; 910", "3,000", "<100", "0", "-5"}, List: {"a,b", "pairs"}, Species: {"oats", "none", "nothing", "oats & peas"},
		Mix: {"oats:60, peas:40", "not-known"}, Classes: {"cows", "sheep", "emus", "60 steers"}, "zone": {"America/Regina", "x"}, "watch": {"08-15..06-15"},
		New: {"abc"}, Places: {"creek", "creek,bench"}, One: {"creek", "creek,bench"}, Each: {"creek", "bench"}, YesNo: {"yes", "no"},
		Quantity: {"0", "0cm", "-3C", "80cm", "0kg/ha", "2,5C", "3"},
	}
	same := 0
	for _, k := range Kinds() {
		for range 1500 {
			line := Said{}
			for i := range k.Fields {
				f := &k.Fields[i]
				x := texts[f.Type]
				switch {
				case len(f.Choices) > 0:
					x = f.Choices
				case f.Type == Name && f.Of == "station":
					x = []string{"yard", Inside}
				case f.Type == Name && (f.Of == "lot" || f.Of == "herd"):
					x = []string{"pairs"}
				case f.Type == Quantity:
					example, _, _ := strings.Cut(f.Measure.Example, " ")
					x = append(slices.Clone(x), example, example, example)
				}
				if len(x) > 0 && f.Label != "" && rnd.IntN(5) > 1 {
					line[f.Name] = []string{x[rnd.IntN(len(x))]}
				}
			}
			if slices.Contains([]fields.Kind{Import, Blend}, k.Kind) || k.Title == "" || line["station"] != nil && line["paddock"] != nil || line["round"] != nil && line["task"] != nil {
				continue
			}
			screen := maps.Clone(line)
			for i := range k.Fields { // screens type it for the person
				f := &k.Fields[i]
				if d := f.Default(at(9, false).Now); d != "" && screen[f.Name] == nil && f.Label != "" && (f.Name != "night" || screen["ended_at"] == nil) {
					screen[f.Name] = []string{d}
				}
			}
			a, refusedA := k.Entries(screen, at(9, false))
			b, refusedB := k.Entries(line, at(9, true))
			noName := k.Field(string(k.Kind)) != nil && line[string(k.Kind)] == nil
			switch {
			case noName || k.Kind == fields.KindForecast && line["station"] == nil:
			case len(refusedA) > 0 != (len(refusedB) > 0):
				t.Fatalf("%s: %v\nscreens: %v\nline: %v", k.Kind, line, refusedA, refusedB)
			case !reflect.DeepEqual(a, b):
				t.Fatalf("%s: %v\nscreens: %+v\nline: %+v", k.Kind, line, a, b)
			case len(a) > 0:
				same++
			}
		}
	}
	if same < 1000 {
		t.Errorf("only %d made entries", same)
	}
}
