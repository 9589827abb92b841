package hazard

import (
	"runtime"
	"sync"

	"rimegate/fields"
)

// team shares the work of one answer among processors. Each has a reader of its own, and
// who reads a paddock reads the lots made of it.
type team struct {
	h        *fields.History
	book     *Rulebook
	standing []*fields.Paddock
	readers  []*reader
	of       map[string]int // whose a paddock is
}

// leastShare is how many paddocks or lots are worth another processor.
const leastShare = 32

// newTeam gathers a team. What a team asked about an earlier day read of the nights before it
// is kept, where nothing else is known and no other rule holds.
func newTeam(h *fields.History, book *Rulebook, standing []*fields.Paddock, before *team) *team {
	t := &team{h: h, book: book, standing: standing}
	n := min(runtime.GOMAXPROCS(0), 1+(len(t.standing)+len(h.Lots()))/leastShare)
	t.of = make(map[string]int, len(t.standing))
	for i := range n {
		var was *reader
		if before != nil {
			was = before.readers[i]
		}
		t.readers = append(t.readers, newReader(h, book, was))
	}
	for i, p := range t.standing {
		t.of[p.ID] = i * n / len(t.standing)
	}
	return t
}

// each does something n times, the i-th by whoever has the i-th paddock.
func (t *team) each(n int, paddock func(i int) string, do func(r *reader, i int)) {
	if len(t.readers) == 1 {
		for i := range n {
			do(t.readers[0], i)
		}
		return
	}
	work := make([][]int, len(t.readers))
	for i := range n {
		who, known := t.of[paddock(i)]
		if !known {
			who = i % len(work)
		}
		work[who] = append(work[who], i)
	}
	var wait sync.WaitGroup
	failed := make(chan any, len(work))
	for who, mine := range work {
		wait.Go(func() {
			defer func() {
				if p := recover(); p != nil {
					failed <- p // whoever asked must see it
				}
			}()
			for _, i := range mine {
				do(t.readers[who], i)
			}
		})
	}
	wait.Wait()
	select {
	case p := <-failed:
		panic(p)
	default:
	}
}
