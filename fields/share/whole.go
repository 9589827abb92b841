//go:build !noshare

package share

import (
	"context"
	"fmt"
	"time"
)

// Whole reads a farm's stream from its beginning, for answers without a journal. It changes
// nothing at the server.
func (s *Seat) Whole(ctx context.Context) (h *Held, err error) {
	for n := range 2 {
		if n > 0 && !sleep(ctx, time.Second) {
			break
		}
		if h, err = s.whole(ctx); !temporary(err) {
			break
		}
	}
	return h, err
}

func (s *Seat) whole(ctx context.Context) (*Held, error) {
	l, err := s.dial(ctx, true)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	h := &Held{Report: &Report{}}
	l.report = h.Report
	last, err := l.last(ctx)
	if err != nil {
		return nil, l.words(err)
	}
	state := l.stream.CachedInfo().State
	h.Last, h.Lost = state.LastTime, last-state.Msgs
	if last == 0 || state.Msgs == 0 {
		return nil, fmt.Errorf("the stream of the farm %s holds nothing yet", s.Farm)
	}
	in := &incoming{}
	err = l.each(ctx, 1, last, func(seq uint64, head func(string) string, text []byte) error {
		switch e, gap, err := arrival(head, text); {
		case err != nil:
			l.unreadable(in, seq, head, text, err)
		case gap != nil:
			h.AddGap(*gap)
		case e != nil:
			h.Add(*e)
		}
		return nil
	})
	return h, l.words(err)
}
