package farm

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// Batch is what one import brought, as far as a strike of it now would reach. No
// strike is of a batch: its own field of that name is the import it strikes.
type Batch struct {
	ID       string
	Entries  int // that the import brought
	Struck   int // of them, struck already
	Later    int // of them, recorded by a clock ahead of ours, which stay
	Kinds    map[fields.Kind]int
	From, To fields.Date // of what is left to strike
}

// Left is how many entries a strike of the batch would strike.
func (b *Batch) Left() int {
	n := 0
	for _, c := range b.Kinds {
		n += c
	}
	return n
}

// Words says what a strike of the batch strikes.
func (b *Batch) Words() string {
	kinds := make([]string, 0, len(b.Kinds))
	for k := range b.Kinds {
		kinds = append(kinds, string(k))
	}
	sort.Strings(kinds)
	for i, k := range kinds {
		kinds[i] = fmt.Sprintf("%d %s", b.Kinds[fields.Kind(k)], k)
	}
	text := fmt.Sprintf("The import %s brought %d entries. Struck by this: %d (%s)", b.ID, b.Entries, b.Left(), strings.Join(kinds, ", "))
	switch {
	case b.From == fields.NoDate:
	case b.From == b.To:
		text += ", of " + b.From.Words()
	default:
		text += ", from " + b.From.Words() + " through " + b.To.Words()
	}
	for _, x := range []struct {
		n   int
		why string
	}{{b.Struck, "struck already"}, {b.Later, "recorded by a clock that is ahead, which stay"}} {
		if x.n > 0 {
			text += fmt.Sprintf("; %d %s", x.n, x.why)
		}
	}
	return text + "."
}

// batch finds the import that typed names (its id or an unmistakable part) and
// gathers what it brought.
func (v *View) batch(typed string) (*Batch, error) {
	t := strings.ToUpper(strings.TrimLeft(strings.TrimSpace(typed), ".…"))
	hits := map[string]bool{}
	for i := range v.Entries {
		id := v.Entries[i].Batch
		if id == "" {
			continue
		}
		if id == t {
			hits = map[string]bool{id: true}
			break
		}
		if len(t) >= 5 && (strings.HasSuffix(id, t) || strings.HasPrefix(id, t)) {
			hits[id] = true
		}
	}
	switch {
	case len(hits) == 0:
		return nil, fmt.Errorf("there is no import %q; `rimegate history` shows the import of every entry that came by one", board.Clean(typed))
	case len(hits) > 1:
		return nil, fmt.Errorf("%q fits %d imports; type the whole id", board.Clean(typed), len(hits))
	}
	b := &Batch{Kinds: map[fields.Kind]int{}}
	for id := range hits {
		b.ID = id
	}
	v.gather(b, v.Now)
	return b, nil
}

func (v *View) gather(b *Batch, now time.Time) {
	for i := range v.Entries {
		e := &v.Entries[i]
		if e.Batch != b.ID {
			continue
		}
		b.Entries++
		_, struck := v.History.Struck[e.ID]
		switch {
		case struck:
			b.Struck++
		case e.Recorded.After(now):
			b.Later++
		default:
			b.Kinds[e.Kind()]++
			d := e.EventDate(v.Loc)
			if b.From == fields.NoDate || d < b.From {
				b.From = d
			}
			b.To = max(b.To, d)
		}
	}
}

// StrikeBatch strikes by one entry all that the import brought that typed names.
func (f *Farm) StrikeBatch(typed, because string, dryRun bool) (*Logged, *Batch, error) {
	v, err := f.View(Question{})
	if err != nil {
		return nil, nil, err
	}
	b, err := v.batch(typed)
	if err != nil {
		if id, eerr := v.Entry(typed); eerr == nil {
			err = fmt.Errorf("%s is the id of one entry and no import; leave --batch away", id)
		}
		return nil, nil, fields.Problems{{Field: "batch", What: err.Error()}}
	}
	l, err := f.log(v, []fields.Entry{{On: v.Today, Body: &fields.Strike{Batch: b.ID, Because: because}}}, dryRun)
	return l, b, err
}

// strikeBatch refuses the strike of an import that is not there, or of which
// nothing is left to strike.
func (c *checker) strikeBatch(e *fields.Entry, s *fields.Strike) {
	b := &Batch{ID: s.Batch, Kinds: map[fields.Kind]int{}}
	c.v.gather(b, e.Recorded)
	switch {
	case b.Entries == 0:
		c.refuse("batch", fmt.Sprintf("there is no import %q", board.Clean(s.Batch)), "`rimegate history` shows the import of every entry that came by one")
	case b.Left() == 0:
		c.refuse("batch", "nothing of the import is left to strike", "")
	}
}
