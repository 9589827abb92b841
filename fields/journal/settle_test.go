package journal

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

const clashID = "01J8ZQ4V7W0000000000000001"

// clashing makes two journals in which one id stands for two contents.
func clashing(t *testing.T) (ours, theirs *Store) {
	t.Helper()
	ours, theirs = newJournal(t), newJournal(t)
	a, b := sighting("ours"), sighting("theirs")
	a.ID, b.ID = clashID, clashID
	mustAppend(t, ours, a, sighting("only ours"))
	mustAppend(t, theirs, b, sighting("only theirs"))
	return ours, theirs
}

// mergeKeeping merges another journal into s and settles conflicts in one way.
func mergeKeeping(s *Store, k Keep, other string) (ImportReport, error) {
	settling := *s
	settling.Settle = &Settle{Keep: k, By: "sam", At: time.Date(2026, 9, 18, 7, 0, 0, 0, time.UTC), On: fields.MakeDate(2026, 9, 18)}
	return settling.Merge(other)
}

// counts returns the notes of the frosts that count, and of all that are there.
func counts(t *testing.T, s *Store) (counting, there string) {
	t.Helper()
	entries := mustLoad(t, s).Entries
	h := fields.Fold(entries, fields.View{On: fields.MakeDate(2030, 1, 1)})
	var c, all []string
	for _, f := range h.Facts {
		if f.Kind() == fields.KindFrost {
			c = append(c, f.Note)
		}
	}
	for _, e := range entries {
		if e.Kind() == fields.KindFrost {
			all = append(all, e.Note)
		}
	}
	return sorted(c), sorted(all)
}

func sorted(s []string) string {
	set := map[string]int{}
	for _, x := range s {
		set[x]++
	}
	var out []string
	for _, name := range []string{"ours", "theirs", "only ours", "only theirs"} {
		for range set[name] {
			out = append(out, name)
		}
	}
	return strings.Join(out, ", ")
}

func TestSettle(t *testing.T) {
	for _, c := range []struct {
		keep Keep
		want string
	}{
		{KeepOurs, "ours, only ours, only theirs"},
		{KeepTheirs, "theirs, only ours, only theirs"},
		{KeepBoth, "ours, theirs, only ours, only theirs"},
	} {
		t.Run(string(c.keep), func(t *testing.T) {
			ours, theirs := clashing(t)
			before := fileHash(t, ours.Path)
			var conflict *ConflictError
			if _, err := ours.Merge(theirs.Path); !errors.As(err, &conflict) || !strings.Contains(err.Error(), "--keep ours") {
				t.Fatal(err)
			}
			if fileHash(t, ours.Path) != before {
				t.Fatal("something was stored")
			}
			rep, err := mergeKeeping(ours, c.keep, theirs.Path)
			if err != nil || rep.Settled != 1 {
				t.Fatal(rep, err)
			}
			got, there := counts(t, ours)
			if got != c.want || !strings.Contains(there, "ours, theirs") && !strings.Contains(there, "ours, ours, theirs") {
				t.Errorf("counting %s; there: %s", got, there)
			}
			// It is settled for good, and the other journal learns of it.
			if rep, err := ours.Merge(theirs.Path); err != nil || rep.Added != 0 {
				t.Errorf("again: %+v, %v", rep, err)
			}
			if rep, err := mergeKeeping(ours, KeepBoth, theirs.Path); err != nil || rep.Added != 0 || rep.Settled != 0 {
				t.Errorf("another decision: %+v, %v", rep, err)
			}
			if _, err := theirs.Merge(ours.Path); err != nil {
				t.Fatal(err)
			}
			if got, _ := counts(t, theirs); got != c.want {
				t.Errorf("the other journal counts %s", got)
			}
			if _, err := ours.Merge(theirs.Path); err != nil {
				t.Fatal(err)
			}
			if got, _ := counts(t, ours); got != c.want {
				t.Errorf("after both ways: %s", got)
			}
			// As text too.
			var text bytes.Buffer
			if _, err := ours.Export(&text); err != nil {
				t.Fatal(err)
			}
			entries, err := fields.ReadJSONL(&text)
			if err != nil {
				t.Fatal(err)
			}
			third := newJournal(t)
			b := sighting("theirs")
			b.ID = clashID
			mustAppend(t, third, b)
			if _, err := third.Import(entries); err != nil {
				t.Fatal(err)
			}
			if got, _ := counts(t, third); got != c.want {
				t.Errorf("a third journal counts %s", got)
			}
		})
	}
}

// Two people who decided otherwise: neither content may be lost, so the
// journals do not meet until somebody decides anew.
func TestSettledTwice(t *testing.T) {
	ours, theirs := clashing(t)
	apart := New(filepath.Join(t.TempDir(), "apart"))
	if _, err := theirs.Copy(apart.Path); err != nil {
		t.Fatal(err)
	}
	if _, err := mergeKeeping(theirs, KeepOurs, ours.Path); err != nil { // theirs is kept there
		t.Fatal(err)
	}
	if _, err := mergeKeeping(ours, KeepOurs, apart.Path); err != nil { // and ours here
		t.Fatal(err)
	}
	if _, err := ours.Merge(theirs.Path); !errors.As(err, new(*ConflictError)) {
		t.Fatalf("both are struck, and nobody is asked: %v", err)
	}
	if _, err := mergeKeeping(ours, KeepTheirs, theirs.Path); err != nil {
		t.Fatal(err)
	}
	if got, _ := counts(t, ours); got != "theirs, only ours, only theirs" {
		t.Error(got)
	}
}

func TestStrikesAreKeptBoth(t *testing.T) {
	ours, theirs := newJournal(t), newJournal(t)
	strike := func(s *Store, of string) {
		e := sighting("")
		e.ID, e.On, e.Body = clashID, fields.MakeDate(2026, 9, 17), &fields.Strike{Entry: of, Because: "slip"}
		mustAppend(t, s, e)
	}
	strike(ours, "01J8ZQ4V7W0000000000000002")
	strike(theirs, "01J8ZQ4V7W0000000000000003")
	if _, err := mergeKeeping(ours, KeepOurs, theirs.Path); !errors.As(err, new(fields.Problems)) || !strings.Contains(err.Error(), "keep both") {
		t.Error(err)
	}
	if _, err := mergeKeeping(ours, KeepBoth, theirs.Path); err != nil {
		t.Fatal(err)
	}
	if h := fields.Fold(mustLoad(t, ours).Entries, fields.View{On: fields.MakeDate(2030, 1, 1)}); len(h.Struck) != 2 {
		t.Errorf("%d struck", len(h.Struck))
	}
	if rep, err := ours.Merge(theirs.Path); err != nil || rep.Added != 0 {
		t.Errorf("%+v, %v", rep, err)
	}
}

// What somebody struck does not count again because its id turns out to stand for something
// else elsewhere; that, which nobody struck, counts.
func TestStruckStaysStruck(t *testing.T) {
	for name, into := range map[string]func(ours, theirs *Store) (first, second *Store){
		"into the journal that struck it": func(o, th *Store) (*Store, *Store) { return o, th },
		"into the other":                  func(o, th *Store) (*Store, *Store) { return th, o },
	} {
		ours, theirs := clashing(t)
		e := sighting("")
		e.On, e.Body = fields.MakeDate(2026, 9, 17), &fields.Strike{Entry: clashID, Because: "a slip"}
		mustAppend(t, ours, e)
		first, second := into(ours, theirs)
		if _, err := mergeKeeping(first, KeepBoth, second.Path); err != nil {
			t.Fatal(err)
		}
		if _, err := second.Merge(first.Path); err != nil {
			t.Fatal(err)
		}
		for _, s := range []*Store{first, second} {
			if got, _ := counts(t, s); got != "theirs, only ours, only theirs" {
				t.Errorf("%s: counting %s", name, got)
			}
		}
		if rep, err := first.Merge(second.Path); err != nil || rep.Added != 0 {
			t.Errorf("%s: again: %+v, %v", name, rep, err)
		}
	}
}

var laws = flag.Int("laws", 2, "sets of journals that are merged in every order")

// The laws of merging hold with strikes, batches, settings and ids that stand for several
// contents too: whoever brings what to whom, in what order and how often, the same facts
// count in the end, and once both sides know they hold the same ids.
func TestMergeLaws(t *testing.T) {
	settled := 0
	for round := range uint64(*laws) {
		src := seeded(100 + round)
		all := randomEntries(src, 30+src.IntN(30))
		for i := range all {
			switch b, strikes := all[i].Body.(*fields.Strike); {
			case strikes && src.IntN(3) > 0: // of something that is there
				*b = fields.Strike{Because: b.Because}
				if of := &all[src.IntN(len(all))]; of.Batch != "" {
					b.Batch = of.Batch
				} else {
					b.Entry = of.ID
				}
			case !strikes && i > 0 && src.IntN(4) == 0:
				all[i].Batch = all[i-1].Batch
			}
		}
		parts := make([][]fields.Entry, 3)
		for _, e := range all {
			for i := range parts {
				if src.IntN(2) == 0 {
					if e.Kind() != fields.KindStrike && src.IntN(12) == 0 {
						e.Note = fmt.Sprint("as seat ", i, " has it") // one id, another content
					}
					parts[i] = append(parts[i], e)
				}
			}
		}
		fresh := func() [3]*Store {
			var out [3]*Store
			for i := range out {
				out[i] = newJournal(t)
				if _, err := out[i].Import(parts[i]); err != nil {
					t.Fatal(err)
				}
			}
			return out
		}
		merge := func(into, from *Store) {
			t.Helper()
			rep, err := mergeKeeping(into, KeepBoth, from.Path)
			if err != nil {
				t.Fatal(err)
			}
			settled += rep.Settled
		}
		abc, cba := fresh(), fresh()
		merge(abc[0], abc[1]) // (a+b)+c
		merge(abc[0], abc[2])
		merge(cba[1], cba[0]) // c+(b+a)
		merge(cba[2], cba[1])
		if a, b := counting(t, abc[0]), counting(t, cba[2]); a != b {
			t.Fatalf("round %d: the way they met shows:\n%s\n%s", round, a, b)
		}
		was := texts(mustLoad(t, abc[0]).Entries)
		for _, again := range []*Store{abc[0], abc[1], abc[2]} {
			merge(abc[0], again)
		}
		if texts(mustLoad(t, abc[0]).Entries) != was {
			t.Fatalf("round %d: merged again it grew", round)
		}
		merge(cba[2], abc[0])
		merge(abc[0], cba[2])
		if counting(t, abc[0]) != counting(t, cba[2]) || !slices.Equal(idsOf(t, abc[0]), idsOf(t, cba[2])) {
			t.Fatalf("round %d: after both ways they differ", round)
		}
	}
	t.Logf("%d conflicts settled", settled)
	if settled == 0 {
		t.Error("nothing was settled")
	}
}

func idsOf(t *testing.T, s *Store) (ids []string) {
	t.Helper()
	for _, e := range mustLoad(t, s).Entries {
		ids = append(ids, e.ID)
	}
	return ids
}

// counting is every fact that counts in a journal, strikes apart.
func counting(t *testing.T, s *Store) string {
	t.Helper()
	var out []string
	h := fields.Fold(mustLoad(t, s).Entries, fields.View{On: fields.MakeDate(2200, 12, 31)})
	for _, f := range h.Facts {
		if f.Kind() != fields.KindStrike {
			out = append(out, string(fields.Encode(f.Entry)))
		}
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}
