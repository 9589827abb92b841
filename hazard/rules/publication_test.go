package rules

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"rimegate/hazard"
)

func pubOf(t *testing.T, id string) Publication {
	t.Helper()
	for _, p := range Publications() {
		if p.ID == id {
			return p
		}
	}
	t.Fatalf("there is no publication %q", id)
	return Publication{}
}

// TestPublications checks waits and heights against the publications, which are
// named beside each; their addresses stand in the files.
func TestPublications(t *testing.T) {
	if n := len(Publications()); n < 15 {
		t.Errorf("%d publications", n)
	}
	for _, tc := range []struct {
		id, after, use string
		days, upTo     int // upTo 0: a single number
		dry            string
		restart        string
	}{
		{"ky-master-grazer", "killing-frost", "graze", 3, 0, "", "yes"}, // Kentucky Master Grazer 2011
		{"ky-master-grazer", "light-frost", "graze", 10, 14, "", "yes"},
		{"il-morrison", "killing-frost", "graze", 8, 10, "", "not said"}, // Illinois, From the Fields
		{"il-morrison", "light-frost", "graze", 4, 5, "", "not said"},
		{"ia-2024", "killing-frost", "graze", 7, 0, "", "yes"},           // Iowa State 2024
		{"ne-2024", "light-frost", "graze", 7, 0, "", "yes"},             // Nebraska BeefWatch 2024
		{"mo-2019", "killing-frost", "graze", 14, 0, "also", "not said"}, // Missouri 2019
		{"ball-2016", "killing-frost", "graze", 14, 0, "from", "not said"},
		{"ks-566", "killing-frost", "graze", 3, 0, "or", "yes"},               // Kansas eUpdate 566
		{"tn-neel-2000", "killing-frost", "graze", 14, 0, "also", "not said"}, // Tennessee 2000
		{"on-2024", "killing-frost", "cut-silage", 3, 5, "", "not said"},      // Ontario 2024
		{"on-2024", "ensiling", "feed-silage", 42, 56, "", "not said"},
		{"ar-drought", "drought-rain", "graze", 4, 0, "", "not said"},      // Arkansas
		{"tx-alert", "drought-rain", "graze", 14, 0, "", "not said"},       // Texas
		{"tn-giles", "baling", "feed-hay", 14, 0, "", "not said"},          // Giles County
		{"il-fischer", "cutting", "feed-hay", 7, 10, "", "not said"},       // Illinois
		{"mb-ensiling", "ensiling", "feed-silage", 30, 60, "", "not said"}, // Manitoba
	} {
		p := pubOf(t, tc.id)
		i := slices.IndexFunc(p.Waits, func(w PublishedWait) bool { return w.After == tc.after && w.Use == tc.use })
		if i < 0 {
			t.Errorf("%s says nothing of %s for %s", tc.id, tc.after, tc.use)
			continue
		}
		w := p.Waits[i]
		upTo := 0
		if w.UpToDays != nil {
			upTo = *w.UpToDays
		}
		if w.Days == nil || *w.Days != tc.days || upTo != tc.upTo || w.Dry != tc.dry || p.Restart != tc.restart {
			t.Errorf("%s, %s: %+v, restart %s", tc.id, tc.after, w, p.Restart)
		}
		if longest, ok := w.Longest(); !ok || longest != max(tc.days, tc.upTo) {
			t.Errorf("%s, %s: longest %d", tc.id, tc.after, longest)
		}
	}

	// Iowa 2006: the wait depends on the height at the frost.
	ia := pubOf(t, "ia-2006")
	tall, short := 0, 0
	for _, w := range ia.Waits {
		if w.TallerCM != nil && *w.Days == 3 {
			tall++
		}
		if w.ShorterCM != nil && *w.Days == 10 && *w.UpToDays == 14 {
			short++
		}
	}
	if tall != 2 || short != 2 {
		t.Errorf("Iowa 2006: %d tall and %d short waits", tall, short)
	}
	// Tennessee, Giles County: a light frost waits for a killing one.
	if w := pubOf(t, "tn-giles").Waits[1]; !w.NeedsKill || *w.Days != 7 {
		t.Errorf("Giles County: %+v", w)
	}
	// Queensland: no wait clears hay.
	if w := pubOf(t, "qld-hay").Waits[0]; !w.Never {
		t.Errorf("Queensland: %+v", w)
	}
	if _, ok := pubOf(t, "qld-hay").Waits[0].Longest(); ok {
		t.Error("never has a number of days")
	}
	// Manitoba: the tallest regrowth in print, 30 in.
	if cm, ok := pubOf(t, "mb-ensiling").Heights[0].Highest(); !ok || cm != 76 {
		t.Errorf("Manitoba: %v cm", cm)
	}
	if _, ok := (PublishedHeight{Headed: true}).Highest(); ok {
		t.Error("headed is no height")
	}
}

func TestCoversSpecies(t *testing.T) {
	book := Default()
	for _, tc := range []struct {
		ids  []string
		name string
		want bool
	}{
		{nil, "johnsongrass", true},
		{nil, "oats", false},
		{nil, "indiangrass", false},
		{[]string{"sudangrass"}, "sudangrass", true},
		{[]string{"sudangrass"}, "sorghum-sudangrass", false},
		{[]string{"sudangrass"}, "sudan", true},
		{[]string{"grain-sorghum"}, "sudan", false},
	} {
		if got := CoversSpecies(tc.ids, book.Find(tc.name)); got != tc.want {
			t.Errorf("%v covers %s: %v", tc.ids, tc.name, got)
		}
	}
}

// TestAddingAPublication: adding one is adding a file.
func TestAddingAPublication(t *testing.T) {
	fsys := bookFS(t)
	fsys["publications/new-one.toml"] = &fstest.MapFile{Data: []byte(`
id = "new-one"
publisher = "Somebody"
title = "A new rule"
year = 2026
url = "https://example.org/rule"
checked_on = 2026-11-25
words = "Nine days."
restart = "yes"
[[wait]]
after = "frost"
use = "graze"
days = 9
words = "9 days after a frost"
`)}
	b, ps := load(fsys)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	one := slices.IndexFunc(b.sources, func(s hazard.Source) bool { return s.ID == "new-one" })
	if len(b.pubs) != len(Publications())+1 || one < 0 || b.sources[one].Says != "Nine days." {
		t.Errorf("%d publications, source %d", len(b.pubs), one)
	}
	if b.book.Digest == Default().Digest {
		t.Error("another rulebook has the same digest")
	}
}

// TestPublicationsFitTheRules: what a publication prints stands among the
// published values of the rule it is cited by.
func TestPublicationsFitTheRules(t *testing.T) {
	d, _ := DocOf("prussic.frost.wait")
	for _, p := range Publications() {
		for _, w := range p.Waits {
			longest, ok := w.Longest()
			if !ok || w.Use != "graze" || !strings.HasSuffix(w.After, "frost") {
				continue
			}
			if float64(longest) > d.Value && !w.Never {
				t.Errorf("%s waits %d days, longer than our %s: that must be at least as long", p.ID, longest, d.ID)
			}
		}
		for _, h := range p.Heights {
			for _, sp := range speciesRows() {
				cm, ok := h.Highest()
				if !ok || !CoversSpecies(h.Species, sp) {
					continue
				}
				if cm > Default().V[sp.Height] {
					t.Errorf("%s asks %v cm of %s, more than the default", p.ID, cm, sp.ID)
				}
			}
		}
	}
}
