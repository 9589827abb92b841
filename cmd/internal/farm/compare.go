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
		pubs := rules.Publications()
		for _, rec := range hazard.RecordsOf(v.History, v.Book, id) {
			land := board.ComparedLand{Record: rec}
			for _, r := range rules.Compare(&rec, pubs) {
				land.Says = append(land.Says, board.PublishedSay{
					Source: r.Publication.Source, Question: string(r.Question), Allows: r.Say == rules.Allows, NoNumber: r.Say == rules.NoNumber,
					From: r.From, Days: r.Days, First: r.First, CM: r.CM, Words: r.Words, Note: r.Note, Strictest: r.Strictest, Laxest: r.Laxest,
				})
			}
			lands = append(lands, land)
		}
	}
	return board.NewComparison(v.Assess(), id, lands, rules.Default())
}
