package farm

import (
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// Compare holds the record of a paddock or lot against every publication, and those
// shown with them.
func (v *View) Compare(id string, with ...rules.Publication) (*board.Comparison, error) {
	var lands []board.ComparedLand
	if v.History.Paddock(id) != nil {
		for _, rec := range hazard.RecordsOf(v.History, v.Book, id) {
			says := rules.Compare(&rec, append(rules.Publications(), with...))
			lands = append(lands, board.ComparedLand{Record: rec, Says: says})
		}
	}
	a, err := v.Naming(id)
	if err != nil {
		return nil, err
	}
	return board.NewComparison(a, id, lands, rules.Default())
}
