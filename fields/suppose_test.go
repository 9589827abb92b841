package fields_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rimegate/fields"
	"rimegate/fields/internal/anyentry"
)

// A history asked about a later day is what folding anew for that day makes of it.
func TestOnDay(t *testing.T) {
	same, anew := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		src := draws{t}
		var list []fields.Entry
		for i := range rapid.IntRange(1, 12).Draw(t, "entries") {
			e := anyentry.Any(src)
			e.ID = fmt.Sprintf("%026d", i)
			list = append(list, e)
		}
		on := fields.MakeDate(2020, 1, 1).Add(src.IntN(4200))
		for i := range list { // some about the day asked
			if k := list[i].Kind(); rapid.Bool().Draw(t, "near") && k != fields.KindReading && k != fields.KindForecast {
				list[i].On = on.Add(src.IntN(12) - 3)
			}
		}
		refs := []string{"whole", "east", "west", "middle", "north", "creek", "hill", "p", "7"}
		h := fields.Fold(list, fields.View{On: on})
		for k := range 8 {
			v := fields.View{On: on.Add(k)}
			got, ok := h.OnDay(v.On)
			if !ok {
				anew++
				continue
			}
			same++
			if diff := cmp.Diff(picture(fields.Fold(list, v), refs), picture(got, refs), sameInstant); diff != "" {
				t.Fatal(diff)
			}
			if len(h.Facts) > 0 && !got.SameNights(h) || got.On != v.On {
				t.Fatal("it is not the same history on another day")
			}
		}
		if _, ok := h.OnDay(on - 1); ok {
			t.Fatal("an earlier day knows less")
		}
	})
	if same == 0 || anew == 0 {
		t.Errorf("%d days as they were, %d anew; this test proves little", same, anew)
	}
}
