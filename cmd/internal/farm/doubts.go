package farm

import (
	"fmt"

	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/hazard"
)

// Check is the journal's own check with remarks on what its entries say of this
// farm: what an import or another seat brought that `log` would have refused.
func (f *Farm) Check() (journal.Report, error) {
	r, err := f.store.Check()
	if err != nil || !r.Whole() {
		return r, err
	}
	v, err := f.View(Question{})
	if err != nil {
		return r, err
	}
	for _, x := range v.History.Facts {
		w, ok := x.Body.(*fields.Walk)
		if !ok || w.ShortestCM == nil {
			continue
		}
		if sown, ok := hazard.GrewTooFast(v.History, v.Book, w.Paddock, x.Date, *w.ShortestCM); ok {
			r.Findings = append(r.Findings, journal.Finding{Check: "heights", Entry: x.ID, Text: fmt.Sprintf(
				"the walk of %s in %s found %s at the shortest, too much for a stand sown anew on %s; one of the two is wrong",
				x.Date.Words(), w.Paddock, fields.Height.Both(*w.ShortestCM), sown.Words())})
		}
	}
	return r, nil
}
