package farm

import (
	"fmt"
	"time"

	"rimegate/fields"
)

// Gathered is the view of a farm's entries that no journal here holds.
func Gathered(clock func() time.Time, entries []fields.Entry) *View {
	return (&Farm{Clock: clock}).refold(entries, Question{})
}

// Unheard says in a clause that nothing came from a farm for longer than it allows, by the
// clock of whoever took in what came; "" if something did.
func (v *View) Unheard(last, now time.Time) string {
	h := *v.History
	h.Exchange = &fields.Exchange{Now: now, Last: last}
	if !h.ExchangeOverdue() {
		return ""
	}
	return fmt.Sprintf("nothing came from it since %s", last.In(v.Loc).Format("Mon 2 Jan 15:04"))
}
