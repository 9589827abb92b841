package farm

import (
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// Compare holds the record of a paddock or lot against every publication.
func (v *View) Compare(id string) (*board.Comparison, error) {
	var lands []board.ComparedLand
	if v.History.Paddock(id) != nil {
		for _, rec := range hazard.RecordsOf(v.History, v.Book, id) {
			lands = append(lands, board.ComparedLand{Record: rec, Says: rules.Compare(&rec, rules.Publications())})
		}
	}
	return board.NewComparison(v.Assess(), id, lands, rules.Default())
}
