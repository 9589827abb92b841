package share

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

var day = time.Date(2026, 10, 6, 6, 40, 0, 0, time.FixedZone("", -6*3600))

// A message that came is one entry or one gap that an export would write the same way, or
// one plain clause on what is wrong with it.
func FuzzMessage(f *testing.F) {
	mm := 1.5
	rain := fields.Entry{ID: "01K6XQ4T5Q0V3N7R8S9T0V1W2X", Recorded: day, By: "sam", On: 20000, Body: &fields.Rain{Paddocks: []string{"creek"}, MM: &mm}}
	text := fields.Encode(&rain)
	gap := `{"gap":{"what":"made of a damaged file","ids":["01K6XQ4T5Q0V3N7R8S9T0V1W2X"],"by":"sam","at":"2026-10-06T06:40:00-06:00","because":"the old disk died"}}`
	f.Add("shop", "", text)
	f.Add("shop", "", []byte(gap))
	f.Add("shop", "", []byte(seenText))
	f.Add("shop", "00", text)                              // another hash
	f.Add("", "", text)                                    // no seat
	f.Add("\x1b[31m", "", text)                            // a name that is none
	f.Add("shop", "", append(text, '\n'))                  // two lines
	f.Add("shop", "", []byte(nil))                         // no entry
	f.Add("shop", "", bytes.Repeat([]byte("["), 1<<10))    // no form
	f.Add("shop", "", []byte(gap[:len(gap)-1]+`,"id":1}`)) // a gap with something beside it
	f.Fuzz(func(t *testing.T, seat, hash string, text []byte) {
		if hash == "" {
			hash = hashOf(seat, text)
		}
		m, err := Read(func(name string) string {
			return map[string]string{headSeat: seat, headHash: hash}[name]
		}, text)
		switch {
		case err != nil:
			if s := err.Error(); s == "" || strings.ContainsAny(s, "\r\x1b\x00\u202e") {
				t.Errorf("%q", s)
			}
			if m.Entry != nil || m.Gap != nil {
				t.Errorf("refused (%v) and yet %+v", err, m)
			}
		case hash != hashOf(seat, text) || (m.Entry == nil) == (m.Gap == nil) && (m.Entry != nil || string(text) != seenText):
			t.Errorf("%q of %q was taken as %+v", text, seat, m)
		case m.Entry != nil:
			again := fields.Encode(m.Entry)
			back, err := fields.ReadJSONL(bytes.NewReader(again))
			if err != nil || len(back) != 1 || m.Entry.Seat != seat || !bytes.Equal(fields.Encode(&back[0]), again) {
				t.Errorf("%q is read as %q: %v", text, again, err)
			}
		}
	})
}
