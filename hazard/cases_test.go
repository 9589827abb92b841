package hazard_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// TestCases runs every file of testdata/cases against the default rulebook.
// The dates in them were worked out by hand from the contract's words.
func TestCases(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join("testdata", "cases", "*.case"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases found: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".case"), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			c, err := parseCase(string(text))
			if err != nil {
				t.Fatalf("%s: %v", path, err)
			}
			for _, e := range c.expects {
				c.check(t, path, e)
			}
		})
	}
}

func (c *caseFile) check(t *testing.T, path string, e expectation) {
	t.Helper()
	h := fields.Fold(c.entries, fields.View{On: e.on, KnownAt: e.known})
	a := hazard.Assess(h, rules.Default())
	passed := true
	for _, class := range e.classes {
		faults, got := e.against(a, class)
		if len(faults) == 0 {
			continue
		}
		passed = false
		msg := fmt.Sprintf("%s:%d: on %s, known at %s\n  want %s\n  %s: %s\n%s", path, e.line, e.on.Words(), e.known.Format("02-Jan 15:04"), e.text, class, strings.Join(faults, "; "), got)
		if e.pending {
			t.Logf("PENDING %s", msg)
		} else {
			t.Error(msg)
		}
	}
	if passed && e.pending {
		t.Errorf("%s:%d: this holds now on %s: take the word pending off", path, e.line, e.on)
	}
}

// against returns what is wrong with the answer for one class, and the answer
// in words.
func (e *expectation) against(a *hazard.Assessment, class hazard.Class) (faults []string, got string) {
	var v *hazard.Verdict
	if e.lot != "" {
		for i := range a.Lots {
			if a.Lots[i].Lot == e.lot {
				v = a.Lots[i].Verdict(class)
				if e.suspect != "" && (e.suspect == "yes") != a.Lots[i].Suspect {
					faults = append(faults, fmt.Sprintf("suspect is %v", a.Lots[i].Suspect))
				}
			}
		}
	} else {
		for i := range a.Paddocks {
			if a.Paddocks[i].Paddock.ID == e.paddock {
				v = a.Paddocks[i].Verdict(e.use, class)
				if e.inside != "" && !slices.ContainsFunc(a.Paddocks[i].Inside, func(s fields.Stay) bool { return s.Herd == e.inside }) {
					faults = append(faults, "the herd "+e.inside+" is not inside")
				}
			}
		}
	}
	if v == nil {
		return []string{"there is no such paddock or lot"}, ""
	}
	flag, through := v.Flag, v.Through
	var reasons []hazard.Reason
	share, hasShare := -1.0, false
	for _, z := range v.Hazards {
		if e.hazard >= 0 && z.Hazard != hazard.Hazards[e.hazard] {
			continue
		}
		reasons = append(reasons, z.Reasons...)
		if z.MaxShare >= 0 {
			share, hasShare = z.MaxShare, true
		}
		if e.hazard >= 0 {
			flag, through = z.Flag, z.Through
		}
	}
	say := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	if flag != e.flag || flag == hazard.Hold && through != e.through {
		say("got %s", flagWords(flag, through))
	}
	if flag != hazard.Hold && through != fields.NoDate {
		say("%s carries the date %s", flag, through)
	}
	for _, id := range e.rules {
		if !slices.ContainsFunc(reasons, func(r hazard.Reason) bool { return r.Rule == id }) {
			say("no reason stands on %s", id)
		}
	}
	for _, id := range e.notRules {
		if slices.ContainsFunc(reasons, func(r hazard.Reason) bool { return r.Rule == id }) {
			say("a reason stands on %s", id)
		}
	}
	if e.share != nil && (!hasShare || share != *e.share) {
		say("share is %v", share)
	}
	if e.needs != "" && v.Need.String() != e.needs {
		say("needs %q", v.Need)
	}
	if e.published != fields.NoDate {
		if flag == hazard.Hold && through < e.published || flag != hazard.Hold && e.on <= e.published {
			say("ends earlier than the publication, which holds through %s", e.published)
		}
	}
	if e.feedFrom != fields.NoDate && v.FeedFrom != e.feedFrom {
		say("feed from %s", v.FeedFrom)
	}
	var b strings.Builder
	for _, r := range reasons {
		fmt.Fprintf(&b, "    %-8s %-32s %s on %s since %s value %g limit %g days %d %s\n", r.Flag, r.Rule, through2(r), r.On, r.Since, r.Value, r.Limit, r.Days, strings.Join(r.Names, ","))
	}
	return faults, b.String()
}

func flagWords(f hazard.Flag, through fields.Date) string {
	if f != hazard.Hold {
		return f.String()
	}
	if through == hazard.NoEnd {
		return "hold none"
	}
	return "hold " + through.String()
}

func through2(r hazard.Reason) string {
	if r.Flag != hazard.Hold {
		return ""
	}
	if r.Through == hazard.NoEnd {
		return "no date"
	}
	return "through " + r.Through.String()
}
