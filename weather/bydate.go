package weather

import (
	"iter"
	"maps"
	"math/bits"
	"slices"

	"rimegate/fields"
)

const pageDays = 64 // as many as a word has bits

// byDate holds a value for each of many dates. The days of a station come in runs,
// so the values lie in pages of 64 days: neighbours need no look-up of their own,
// and the dates come out in order without sorting. The zero value is empty.
type byDate[T any] struct {
	pages map[fields.Date]*datePage[T]
	last  *datePage[T] // of the last look-up
	n     int
}

type datePage[T any] struct {
	key  fields.Date
	used uint64 // which days have a value
	vals [pageDays]T
}

// page returns the page of a date, nil if there is none.
func (b *byDate[T]) page(d fields.Date) *datePage[T] {
	key := d / pageDays
	if d%pageDays < 0 {
		key--
	}
	if b.last != nil && b.last.key == key {
		return b.last
	}
	p := b.pages[key]
	if p != nil {
		b.last = p
	}
	return p
}

// at returns the value of a date, nil if it has none. It stays where it is until it
// is dropped.
func (b *byDate[T]) at(d fields.Date) *T {
	p := b.page(d)
	if p == nil || p.used>>slot(d)&1 == 0 {
		return nil
	}
	return &p.vals[slot(d)]
}

func slot(d fields.Date) uint { return uint(d) % pageDays }

// put returns the value of a date, making a zero one if it has none.
func (b *byDate[T]) put(d fields.Date) *T {
	p := b.page(d)
	if p == nil {
		p = &datePage[T]{key: (d - fields.Date(slot(d))) / pageDays}
		if b.pages == nil {
			b.pages = map[fields.Date]*datePage[T]{}
		}
		b.pages[p.key], b.last = p, p
	}
	if bit := uint64(1) << slot(d); p.used&bit == 0 {
		p.used |= bit
		b.n++
	}
	return &p.vals[slot(d)]
}

// drop takes the value of a date out.
func (b *byDate[T]) drop(d fields.Date) {
	p := b.page(d)
	bit := uint64(1) << slot(d)
	if p == nil || p.used&bit == 0 {
		return
	}
	var zero T
	p.vals[slot(d)] = zero
	p.used &^= bit
	b.n--
	if p.used == 0 {
		delete(b.pages, p.key)
		b.last = nil
	}
}

// all goes through the values in order of date. The value at hand may be dropped
// on the way, others not.
func (b *byDate[T]) all() iter.Seq2[fields.Date, *T] {
	return func(yield func(fields.Date, *T) bool) {
		for _, key := range slices.Sorted(maps.Keys(b.pages)) {
			p := b.pages[key]
			for used := p.used; used != 0; used &= used - 1 {
				i := bits.TrailingZeros64(used)
				if !yield(key*pageDays+fields.Date(i), &p.vals[i]) {
					return
				}
			}
		}
	}
}

// dates returns the dates in order.
func (b *byDate[T]) dates() []fields.Date {
	out := make([]fields.Date, 0, b.n)
	for d := range b.all() {
		out = append(out, d)
	}
	return out
}
