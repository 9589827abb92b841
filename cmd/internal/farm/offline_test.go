package farm

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard/judge"
	"rimegate/hazard/rules"
)

var apart = flag.Int("apart", 10, "farms of two seats that are apart for a week")

// Two seats have one journal, log apart for a week, an entry struck by the other and a
// relaxed rule among it, and are merged both ways: both hold the same entries and answer
// the same, which is what one seat that heard it all answers.
func TestTwoSeatsApart(t *testing.T) {
	book := rules.Default()
	var weeks, told int
	for n := range uint64(*apart) {
		src := rand.New(rand.NewPCG(n, 61))
		season := judge.RandomSeason(src, book)
		all := slices.Clone(season.Entries)
		slices.SortStableFunc(all, func(a, b fields.Entry) int { return a.Recorded.Compare(b.Recorded) })
		from := season.Start + (season.End-season.Start)*2/3
		seats := make([]*Farm, 3) // shop, house, and one that hears it all
		for i := range seats {
			seats[i] = Open(filepath.Join(t.TempDir(), fmt.Sprint("seat", i)))
			seats[i].Store().Seat = fmt.Sprint("seat", i)
			if err := seats[i].Store().Create(); err != nil {
				t.Fatal(err)
			}
		}
		parts := make([][]fields.Entry, 3)
		for _, e := range all {
			switch day := fields.DateOf(e.Recorded, season.Zone); {
			case day < from:
				parts[0], parts[1] = append(parts[0], e), append(parts[1], e)
			case day > from+7:
				continue
			default:
				who := src.IntN(2)
				parts[who] = append(parts[who], e)
				told++
			}
			parts[2] = append(parts[2], e)
		}
		for i, p := range parts {
			if _, err := seats[i].Store().Import(p); err != nil {
				t.Fatal(err)
			}
		}
		// Both relax a rule, or set it again, and one strikes what the other knows too.
		week := season.Start.At(12, 0, season.Zone).AddDate(0, 0, int(from-season.Start)+3)
		say := func(i int, b fields.Body) {
			t.Helper()
			got, err := seats[i].Store().Append([]fields.Entry{{
				Recorded: week.Add(time.Duration(i) * time.Hour), By: "sam", On: fields.DateOf(week, season.Zone), Body: b,
			}})
			if err == nil {
				_, err = seats[2].Store().Import(got)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		for i := range 2 {
			wait := float64(7 + 3*i)
			say(i, &fields.Override{Rule: "prussic.frost.wait", Value: &fields.RuleValue{Number: &wait}, Because: "a test"})
			if len(parts[0]) > 20 {
				say(i, &fields.Strike{Entry: parts[0][10+src.IntN(8)].ID, Because: "a slip"})
			}
		}
		merge := func(into, other int) {
			t.Helper()
			if _, err := seats[into].Store().Merge(seats[other].Store().Path); err != nil {
				t.Fatal(err)
			}
		}
		first := int(n % 2)
		merge(first, 1-first)
		merge(1-first, first)
		if r, err := seats[0].Store().Merge(seats[2].Store().Path); err != nil || r.Added != 0 {
			t.Errorf("farm %d: after both ways %d entries are still missing, %v", n, r.Added, err)
		}
		weeks++
		loaded := make([]*View, 3)
		for i := range seats {
			at := week.AddDate(0, 0, 7)
			seats[i].Clock = func() time.Time { return at }
			loaded[i] = view(t, seats[i], Question{})
		}
		for range 4 {
			q := judge.RandomQuestion(src, season)
			one := judge.Engine(loaded[2].Entries, q, loaded[2].Book)
			for i := range 2 {
				if d := judge.Differences(judge.Engine(loaded[i].Entries, q, loaded[i].Book), one); len(d) > 0 {
					t.Fatalf("farm %d, seat %d, %v: %v", n, i, q, d)
				}
			}
			if len(one) == 0 {
				t.Fatalf("farm %d answers nothing", n)
			}
		}
	}
	t.Logf("%d weeks apart, %d entries in them", weeks, told)
	if told < 5*weeks {
		t.Error("too little was told apart")
	}
}
